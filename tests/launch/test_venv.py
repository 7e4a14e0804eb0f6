"""The virtual environment beside the code: when it is filled, and with what."""

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from shop.env import BASE_DIR
from shop.launch import test as runner
from shop.launch.venv import broker_has_wheel
from tests.launch.running import PATIENCE_S, Running, clean_env, eventually


# PEP 600: a manylinux_2_28 wheel wants glibc 2.28 or newer; musl is not glibc.
@pytest.mark.skipif(sys.platform == "darwin", reason="macOS has no C library to choose")
@pytest.mark.parametrize(
    "libc, version, has",
    [("glibc", "2.28", True), ("glibc", "2.36", True), ("glibc", "2.17", False), ("", "", False)],
)
def test_where_the_broker_has_a_wheel(libc: str, version: str, has: bool) -> None:
    assert broker_has_wheel(libc, version) is has


# pytest's documented exit codes: 0 passed, 1 failed, 2 interrupted, 5 nothing collected.
@pytest.mark.parametrize(
    "codes, code", [([0, 0], 0), ([0, 1], 1), ([2, 0], 2), ([0, 5], 0), ([5, 0], 0), ([5, 5], 5), ([5, 1], 1)]
)
def test_a_failure_on_either_database_fails_the_run(codes: list[int], code: int) -> None:
    assert runner.failed(codes) == code


@pytest.mark.long
def test_a_django_verb_in_a_fresh_clone_makes_the_environment_and_answers(tmp_path: Path) -> None:
    root = fresh_copy(tmp_path)
    ask = [bare_python(), str(root / "manage.py"), "calc", "emc", "rh_pct=45", "--json"]
    first = subprocess.run(ask, capture_output=True, text=True, env=clean_env(tmp_path))
    assert first.returncode == 0, first.stderr
    assert "Making" in first.stderr and "Installing requirements.txt" in first.stderr
    # Wood Handbook, FPL-GTR-190 (2010), table 4-2, 21.1 °C: 8.5 % at 45 % relative humidity.
    assert abs(float(json.loads(first.stdout)["result"]["mc_pct"]["value"]) - 8.5) <= 0.05
    second = subprocess.run(ask, capture_output=True, text=True, env=clean_env(tmp_path))
    assert (second.returncode, second.stdout, second.stderr) == (0, first.stdout, "")


def test_without_a_way_to_install_a_django_verb_says_what_failed(tmp_path: Path) -> None:
    root = fresh_copy(tmp_path)
    nowhere = {**clean_env(tmp_path), "PIP_NO_INDEX": "1", "PIP_CONFIG_FILE": os.devnull}
    ask = [bare_python(), str(root / "manage.py"), "check"]
    answer = subprocess.run(ask, capture_output=True, text=True, env=nowhere)
    assert answer.returncode == 2 and answer.stdout == ""
    assert "This failed:" in answer.stderr and "pip install" in answer.stderr


@pytest.mark.long
def test_a_fresh_copy_starts_although_its_first_install_was_killed(tmp_path: Path) -> None:
    root = fresh_copy(tmp_path)
    python = root / ".venv" / "bin" / "python"
    first = Running(tmp_path / "data", root=root, python=bare_python())
    first.wait_for("Installing requirements.txt")
    assert eventually(python.exists)
    for process in first.tree():
        process.kill()
    first.end(signal.SIGKILL)

    second = Running(tmp_path / "data", root=root, python=bare_python())
    second.wait_for("Running at", at_most_s=2 * PATIENCE_S)
    assert second.get() == 200
    assert second.end() == 0

    third = Running(tmp_path / "data", root=root, python=bare_python()).up()
    assert "Installing" not in third.said
    assert third.end() == 0


def fresh_copy(folder: Path) -> Path:
    """Copy the checkout as a clone has it: code alone."""
    leave = shutil.ignore_patterns(".git", ".venv", ".data", "__pycache__", ".*_cache", ".hypothesis")
    return Path(shutil.copytree(BASE_DIR, folder / "clone", ignore=leave))


def bare_python() -> str:
    """Return the interpreter below the virtual environment that runs the tests."""
    return str(Path(sys.base_prefix) / "bin" / f"python{sys.version_info[0]}.{sys.version_info[1]}")
