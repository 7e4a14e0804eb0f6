"""The memory of the whole service at rest, after work that loads all it ever loads."""

import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import psutil
import pytest

from jobs.documents.kit.press_process import IDLE_S
from tests.launch.running import Running, eventually, running
from tests.needs import needs
from tests.process.client import Client
from tests.process.health import ENV, says
from tests.process.visiting import asked, signed_in, walk

pytestmark = [
    needs("redis", "weasyprint"),
    pytest.mark.skipif(sys.platform != "linux", reason="shared memory is counted by Linux alone"),
]
MOST_MB = 460
PAGES, READERS = 60, 4
OWNER = {"username": "owner", "password": ENV["SHOP_OWNER_PASSWORD"]}


def held_mb(service: Running) -> list[tuple[float, str]]:
    """Return each process with its share of memory: what several hold is divided among them (PSS)."""
    every = [psutil.Process(service.launcher.pid), *service.tree()]
    return [(one.memory_full_info().pss / 1e6, " ".join(one.cmdline()[-4:])) for one in every]


def presses(service: Running) -> int:
    count = 0
    for process in service.tree():
        with suppress(psutil.NoSuchProcess):  # it may end while it is asked
            count += "jobs.documents.kit.press_process" in process.cmdline()
    return count


def use(service: Running, data: Path) -> None:
    """Open pages and drafts so often that each web process has served some; open the API."""
    cookie, client = signed_in(service, OWNER), Client.of_owner(service, data)
    paths = walk(service, cookie, most=PAGES)
    assert len(paths) > PAGES / 2
    numbers = [row["number"] for row in client.get("commissions/")["results"]]
    drafts = [f"/commissions/{n}/draft/{kind}/" for n in numbers for kind in ("job-sheet", "invoice")]
    every = [*paths, *drafts, *["/api/v1/schema/"] * 8] * 2
    with ThreadPoolExecutor(READERS) as readers:
        answers = list(readers.map(lambda path: asked(service, "GET", path, Cookie=cookie), every))
    assert sum(answer.is_a("application/pdf") for answer in answers) > len(numbers)


@pytest.mark.long
def test_the_whole_service_at_rest_is_small(tmp_path: Path) -> None:
    with running(tmp_path, "--demo", **{**ENV, "SHOP_SWEEP_SECONDS": "20"}) as service:
        assert eventually(says(service, 200, ""), at_most_s=60)
        assert eventually(lambda: len([*(tmp_path / "files").iterdir()]) >= 2, at_most_s=60), (
            "papers of the demo"
        )
        use(service, tmp_path)
        assert presses(service) > 1
        assert eventually(lambda: presses(service) == 0, at_most_s=2 * IDLE_S + 60)
        held = held_mb(service)
    for mb, which in held:
        print(f"{mb:6.1f} MB  {which}")
    total = sum(mb for mb, _ in held)
    print(f"{total:6.1f} MB in all")
    assert total <= MOST_MB
