"""``manage.py bench``: speed as ratios to baselines that are measured in the same run."""

import os
import subprocess
import sys
from pathlib import Path

from shop.env import BASE_DIR
from shop.launch import test, venv

FOLDER = BASE_DIR / "tests" / "benchmarks"
PREFIX = "bench_"


def main(arguments: list[str]) -> int:
    files, for_pytest = chosen(arguments)
    if not files:
        print(
            f"No benchmark is called {arguments[0]!r}; there are: {', '.join(sorted(named()))}",
            file=sys.stderr,
        )
        return 2
    venv.enter(["bench", *arguments], requirements=venv.TEST)
    names = ["-o", f"python_files={PREFIX}*.py", "-o", f"python_functions={PREFIX}*"]
    command = [sys.executable, "-m", "pytest", "-q", "-s", *names, *for_pytest, *map(str, files)]
    code = subprocess.run(command, cwd=BASE_DIR).returncode
    if not any(test.ON_POSTGRES in path.read_text("utf-8") for path in files):
        return code
    with test.postgres() as url:
        if url:
            print("\nOn PostgreSQL, what is marked so:")
            given = {**os.environ, "SHOP_TEST_DATABASE_URL": url}
            on_it = subprocess.run([*command, "-m", test.ON_POSTGRES], cwd=BASE_DIR, env=given).returncode
            code = test.failed([code, on_it])
    return code


def chosen(arguments: list[str]) -> tuple[list[Path], list[str]]:
    """Return the files of the benchmarks named first, all where none is named, and what goes to pytest.

    A name stands for every file or folder whose name begins with it.
    """
    count = next((i for i, word in enumerate(arguments) if word.startswith("-")), len(arguments))
    asked, rest = arguments[:count], arguments[count:]
    wanted = [
        [path for name, paths in named().items() if name.startswith(a) for path in paths] for a in asked
    ]
    if not all(wanted):
        return [], rest
    files = {path for found in (wanted if asked else named().values()) for path in found}
    return sorted(files), rest


def named() -> dict[str, list[Path]]:
    """Return the files by the name of a benchmark: that of its folder, else that of its file."""
    found: dict[str, list[Path]] = {}
    for path in sorted(FOLDER.rglob(f"{PREFIX}*.py")):
        name = path.stem.removeprefix(PREFIX) if path.parent == FOLDER else path.parent.name
        found.setdefault(name, []).append(path)
    return found
