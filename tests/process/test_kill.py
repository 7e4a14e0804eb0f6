"""What serves requests is killed in the middle of a burst; what was acknowledged is there, once."""

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil
import pytest

from tests.launch.running import Running, running
from tests.process.client import Answer, Client, manage

WRITERS, EACH = 6, 30
Sent = dict[str, tuple[Answer, int]]


@pytest.fixture
def service(tmp_path: Path) -> Iterator[Running]:
    with running(tmp_path, SHOP_OWNER_PASSWORD="spokeshave and rasp") as service:
        yield service


def burst(client: Client, sent: Sent, progress: threading.Semaphore) -> None:
    """Each writer sends its requests one after another, each under its key until it is answered."""

    def write(writer: int) -> None:
        for n in range(EACH):
            key = f"order-{writer}-{n}"
            sent[key] = client.until_acknowledged("clients/", {"name": f"Client {key}"}, key=key)
            progress.release()

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(write, range(WRITERS)))


@pytest.mark.parametrize(
    "whole",
    [pytest.param(False, id="one worker", marks=pytest.mark.long), pytest.param(True, id="the whole server")],
)
def test_each_acknowledged_key_is_there_exactly_once(service: Running, tmp_path: Path, whole: bool) -> None:
    client = Client.of_owner(service, tmp_path)
    sent: Sent = {}
    progress = threading.Semaphore(0)
    thread = threading.Thread(target=burst, args=(client, sent, progress))
    thread.start()
    for _ in range(WRITERS * EACH // 4):
        progress.acquire()
    kill_web(service, whole=whole)
    thread.join()

    assert len(sent) == WRITERS * EACH
    assert any(broken for _, broken in sent.values()), "the kill hit no request"
    for key, (answer, _) in sent.items():
        again = client.once("POST", "clients/", {"name": f"Client {key}"}, key=key).body
        assert again["replayed"] and again["events"] == answer.body["events"], key
    added = [e["seq"] for e in all_events(client) if e["kind"] == "client_added"]
    assert sorted(added) == sorted(seq for answer, _ in sent.values() for seq in answer.body["events"])
    assert len(added) == len(set(added)) == len(sent)

    for verb in (["verify_log"], ["rebuild", "--check"]):
        done = manage(tmp_path, *verb)
        assert done.returncode == 0, done.stdout + done.stderr


def kill_web(service: Running, *, whole: bool) -> None:
    web = service.part("granian")
    workers = web.children()
    assert len(workers) == 2
    if whole:
        web.kill()
        psutil.wait_procs([web], timeout=10)
        service.wait_for("The web runs again", at_most_s=20)
    else:
        workers[0].kill()


def all_events(client: Client) -> list[dict[str, object]]:
    found: list[dict[str, object]] = []
    while True:
        after = found[-1]["seq"] if found else 0
        events = client.get(f"events/?after={after}&limit=1000")["events"]
        if not events:
            return found
        found += events


@pytest.mark.long
def test_the_service_answers_again_within_seconds(service: Running, tmp_path: Path) -> None:
    client = Client.of_owner(service, tmp_path)
    kill_web(service, whole=True)
    begun = time.monotonic()
    answer, _ = client.until_acknowledged("clients/", {"name": "After the fall"}, key="after")
    assert answer.status == 201
    assert time.monotonic() - begun < 20
