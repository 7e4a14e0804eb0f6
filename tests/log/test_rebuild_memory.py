"""The memory of a rebuild stays flat however long the log is."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from shop.env import BASE_DIR

FEW, MANY = 30_000, 300_000
MOST_MORE_MB = 20
"""More than chance; a list of the longer log's events would take hundreds."""

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(sys.platform != "linux", reason="the unit of the peak is Linux's"),
]


def run(folder: Path, work: str, count: int) -> str:
    """Run the program as another process on a database in this folder; return what it prints."""
    env = {k: v for k, v in os.environ.items() if not k.startswith("SHOP_")}
    env |= {"SHOP_DATA_DIR": str(folder), "DJANGO_SETTINGS_MODULE": "shop.settings", "SHOP_TIME_ZONE": "UTC"}
    command = [sys.executable, "-m", "tests.log.grown_log", work, str(count)]
    done = subprocess.run(command, cwd=BASE_DIR, env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_rebuild_of_300_000_events_takes_no_more_memory_than_one_of_30_000(tmp_path):
    peaks = {}
    for count in (FEW, MANY):
        folder = tmp_path / str(count)
        folder.mkdir()
        run(folder, "grow", count)
        found = json.loads(run(folder, "rebuild", count))
        print(f"\n{found}", end="")
        assert found["events"] >= count
        peaks[count] = found["peak_mb"]
    assert peaks[MANY] - peaks[FEW] <= MOST_MORE_MB
