"""A broker that hangs or whose socket is gone: requests still answer, and the service recovers by itself."""

import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import psutil
import pytest

from shop.env import broker_socket
from tests.launch.running import Running, eventually
from tests.needs import needs
from tests.process.client import Client
from tests.process.health import says
from tests.process.seconds import STAGE, a_box, accepted_commission

pytestmark = [needs("redis"), pytest.mark.takes(44)]
LONGEST_ANSWER_S = 6.0
"""Two waits of two seconds, in a request that counts tries and wakes the worker, on a busy machine."""


def the_broker(service: Running) -> psutil.Process:
    return next(p for p in service.tree() if "valkey-server" in " ".join(p.cmdline()))


def quickly(act: Callable[[], Any]) -> Any:
    began = time.monotonic()
    answer = act()
    took = time.monotonic() - began
    assert took < LONGEST_ANSWER_S, f"{took:.1f} s"
    return answer


def test_a_broker_that_hangs_holds_up_no_request_and_is_started_again(
    service: Running, client: Client
) -> None:
    number = accepted_commission(client)
    piece = client.post(f"commissions/{number}/pieces/", a_box("with a lid"))["piece"]["number"]
    for verb, body in (("start", {}), ("finish", {"minutes": 1})):
        client.post(STAGE.format(piece, verb), body)
    hung = the_broker(service)
    hung.send_signal(signal.SIGSTOP)

    assert quickly(lambda: service.get("/c/no-such-link/")) == 404
    assert quickly(lambda: service.get("/api/v1/health")) == 503
    sheet = quickly(lambda: client.post(f"commissions/{number}/job-sheet/", {}))["paper"]["number"]
    assert quickly(lambda: service.get("/sign-in/")) == 200

    service.wait_for("The broker does not answer", at_most_s=40)
    service.wait_for("The broker runs again", at_most_s=20)
    assert not hung.is_running() or hung.status() == psutil.STATUS_ZOMBIE
    assert eventually(says(service, 200, ""), at_most_s=60)
    assert eventually(lambda: client.get(f"papers/{sheet}/")["has_file"], at_most_s=60)


def test_a_socket_that_is_gone_comes_back(service: Running, data: Path) -> None:
    broker_socket(data).unlink()
    assert eventually(says(service, 503, "the broker does not answer"))
    service.wait_for("The broker runs again", at_most_s=60)
    assert eventually(says(service, 200, ""), at_most_s=60)
