"""System packages that pip cannot install: found, installed as root, or named for the user to install.

Standard library only.
"""

import ctypes
import ctypes.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Part:
    what_for: str
    present: Callable[[], bool]
    debian: tuple[str, ...]
    elsewhere: str

    def line(self) -> str:
        """Return what to type to install it here."""
        return f"apt-get install {' '.join(self.debian)}" if on_debian() else self.elsewhere


def on_debian() -> bool:
    """Return whether this is Debian, Ubuntu or a relative with apt-get."""
    try:
        release = Path("/etc/os-release").read_text()
    except OSError:
        return False
    kin = [line for line in release.lower().splitlines() if line.startswith(("id=", "id_like="))]
    return any(name in line for line in kin for name in ("debian", "ubuntu")) and bool(
        shutil.which("apt-get")
    )


def loads(*libraries: str) -> bool:
    """Return whether the libraries load; tries file names first, since searching the system is slow."""
    return all(opens(f"lib{name}.so.0") or opens(ctypes.util.find_library(name)) for name in libraries)


def opens(file: str | None) -> bool:
    try:
        return file is not None and bool(ctypes.CDLL(file))
    except OSError:
        return False


def browser() -> str | None:
    """Return a Chromium that the tests can drive, or None."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


JAXB = tuple(
    Path("/usr/share/java") / f"{name}.jar"
    for name in (
        "jaxb-runtime", "jaxb-core", "istack-commons-runtime", "txw2", "stax-ex",
        "FastInfoset", "javax.activation",
    )
)  # fmt: skip
"""Libraries with which the validator reads its profiles; its own package leaves them out."""


PARTS = {
    "weasyprint": Part(
        what_for="PDF papers",
        present=lambda: loads("pango-1.0", "pangoft2-1.0"),
        debian=("libpango-1.0-0", "libpangoft2-1.0-0"),
        elsewhere="brew install pango" if sys.platform == "darwin" else "install Pango 1.44 or newer",
    ),
    "browser": Part(
        what_for="tests in a browser",
        present=lambda: browser() is not None,
        debian=("chromium",),
        elsewhere="install Chromium so that `chromium` is on the path",
    ),
    "pdftoppm": Part(
        what_for="tests that look at papers",
        present=lambda: shutil.which("pdftoppm") is not None,
        debian=("poppler-utils",),
        elsewhere="brew install poppler" if sys.platform == "darwin" else "install poppler-utils",
    ),
    "compiler": Part(
        what_for="tests that set a clock back",
        present=lambda: shutil.which("cc") is not None,
        debian=("gcc", "libc6-dev"),
        elsewhere="install a C compiler",
    ),
    "verapdf": Part(
        what_for="tests that check papers against PDF/A and PDF/UA",
        present=lambda: shutil.which("java") is not None and all(jar.exists() for jar in JAXB),
        debian=("default-jdk-headless", "libjaxb-java"),
        elsewhere="install a JDK and the JAXB runtime into /usr/share/java",
    ),
}


def provide(*names: str) -> None:
    """Install what is missing as root on Debian or Ubuntu; else print the line to type."""
    wanted = [name for name in names if not PARTS[name].present()]
    if wanted and on_debian() and os.geteuid() == 0:
        packages = [package for name in wanted for package in PARTS[name].debian]
        print(f"Installing {' '.join(packages)} ...", flush=True)
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for step in (["update"], ["install", "-y", "--no-install-recommends", *packages]):
            subprocess.run(["apt-get", "-q", *step], env=quiet, stdout=subprocess.DEVNULL)
    for name in wanted:
        if not PARTS[name].present():
            print(f"Missing for {PARTS[name].what_for}; install with: {PARTS[name].line()}", flush=True)
