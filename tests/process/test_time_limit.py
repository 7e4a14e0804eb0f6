"""A task that hangs: its worker ends in time, whatever it hangs in, and the launcher starts it again."""

import time
from pathlib import Path

from shop.launch.service import WORKER
from tests.launch.running import eventually
from tests.needs import needs
from tests.process.fleet import Fleet, fleet

pytestmark = needs("redis")
LIMIT_S = 2.0
HANGING = [word.replace("shop.celery", "tests.process.hanging") for word in WORKER]


def send(ships: Fleet, task: str) -> None:
    ships.python("-c", f"from tests.process.hanging import {task}; {task}.delay()")


def test_a_worker_whose_task_hangs_ends_and_says_where(tmp_path: Path) -> None:
    said = tmp_path / "said"
    with fleet(tmp_path, LIMIT_S=str(LIMIT_S)) as ships, said.open("w") as errors:
        ships.start("worker", HANGING, stderr=errors)
        worker = ships.running["worker"]
        send(ships, "note")
        assert eventually((tmp_path / "noted").exists, at_most_s=60), "tasks that end are let alone"
        time.sleep(2 * LIMIT_S)
        assert worker.poll() is None
        send(ships, "hang")
        assert worker.wait(60) == 1
    assert "in hang" in said.read_text(), "which line of which task it was"
