"""Finding and ending what an earlier launcher left, and nobody else's processes."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from shop.launch.processes import MARK, AlreadyRunning, Hold, clear_up, leftovers, started

STUBBORN = (
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print(1, flush=True); time.sleep(60)"
)


@pytest.fixture
def sleeper() -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(["sleep", "60"])
    yield process
    process.kill()
    process.wait()


def test_a_recorded_number_with_another_start_time_is_left_alone(
    tmp_path: Path, sleeper: subprocess.Popen[bytes]
) -> None:
    pid, since = started(sleeper.pid) or (0, 0.0)
    assert clear_up(tmp_path, recorded={(pid, since - 3600)}) == 0
    assert sleeper.poll() is None


def test_a_recorded_process_is_ended(tmp_path: Path, sleeper: subprocess.Popen[bytes]) -> None:
    identity = started(sleeper.pid)
    assert identity
    assert clear_up(tmp_path, recorded={identity}) == 1
    assert started(sleeper.pid) is None


def test_a_process_marked_for_this_folder_is_found_without_a_record(tmp_path: Path) -> None:
    marked = {**os.environ, MARK: str(tmp_path)}
    process = subprocess.Popen([sys.executable, "-c", STUBBORN], env=marked, stdout=subprocess.PIPE)
    assert process.stdout is not None
    process.stdout.readline()
    assert leftovers(tmp_path / "other", recorded=set()) == []
    assert clear_up(tmp_path, recorded=set()) == 1
    assert started(process.pid) is None  # it ignores the request to stop
    process.stdout.close()


def test_a_folder_has_one_launcher(tmp_path: Path) -> None:
    first = Hold(tmp_path)
    with pytest.raises(AlreadyRunning):
        Hold(tmp_path)
    first.release()
    Hold(tmp_path).release()


@pytest.mark.parametrize("kept", ["", "[]", "{", '{"children": 3}', '{"children": [["x", 1]]}'])
def test_a_damaged_record_is_no_record(tmp_path: Path, kept: str) -> None:
    (tmp_path / "processes.json").write_text(kept)
    hold = Hold(tmp_path)
    assert hold.recorded() == set()
    with pytest.raises(AlreadyRunning, match="not up yet"):
        Hold(tmp_path)
    hold.release()
