"""Senders that stop within a request, and crowds at expensive pages: they delay nobody else."""

import json
import socket
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack

import pytest

from tests.launch.running import Running, eventually
from tests.needs import needs
from tests.process.client import Client
from tests.process.health import ENV
from tests.process.visiting import asked, cookie_of, sign_in

pytestmark = [needs("redis"), pytest.mark.takes(42)]
SENDERS, SILENT = 60, 400
LONGEST_ANSWER_S = 5.0
HALF = b'{"name": "Orla Fen'


def begin(service: Running, sent: bytes) -> socket.socket:
    line = socket.create_connection(("127.0.0.1", service.port), timeout=30)
    line.sendall(sent)
    return line


def head(path: str, length: int, *more: str, kind: str = "application/json") -> bytes:
    lines = [f"POST {path} HTTP/1.1", "Host: 127.0.0.1", f"Content-Length: {length}", *more]
    return "\r\n".join([*lines, f"Content-Type: {kind}", "", ""]).encode()


def while_crowded(visit: Callable[[], int], crowd: int, act: Callable[[], None]) -> Counter[int]:
    """Act while so many visit continuously; return the counts of their answers."""
    over, answers = threading.Event(), Counter[int]()

    def go_on() -> None:
        while not over.is_set():
            answers[visit()] += 1

    with ThreadPoolExecutor(crowd) as people:
        coming = [people.submit(go_on) for _ in range(crowd)]
        time.sleep(2)
        try:
            act()
        finally:
            over.set()
        for one in coming:
            one.result()
    return answers


def pages_answer(service: Running, client: Client) -> None:
    for _ in range(5):
        began = time.monotonic()
        assert service.get("/api/v1/health") == 200
        client.get("bench/")
        client.post("clients/", {"name": "Vera Wolf"})
        took = time.monotonic() - began
        assert took < LONGEST_ANSWER_S, f"{took:.1f} s"


def test_the_first_who_want_the_description_all_get_it(service: Running) -> None:
    """New processes have not built the schema yet."""
    service.part("granian").kill()
    service.wait_for("The web runs again", at_most_s=30)
    assert eventually(service.answers, at_most_s=30)
    with ThreadPoolExecutor(4) as readers:
        first = list(readers.map(lambda _: asked(service, "GET", "/api/v1/schema/").status, range(4)))
    assert first == [200] * 4


def test_a_crowd_at_the_description_is_turned_away(service: Running, client: Client) -> None:
    def visit() -> int:
        time.sleep(0.05)
        answer = asked(service, "GET", "/api/v1/schema/")
        assert answer.status in (200, 429) or answer.headers["Retry-After"], "made for the first time"
        return answer.status

    answers = while_crowded(visit, 6, lambda: pages_answer(service, client))
    assert {200, 429} <= set(answers) <= {200, 429, 503}


def test_a_crowd_that_signs_in_keeps_out_neither_pages_nor_who_signed_in_before(
    service: Running, client: Client
) -> None:
    right = {"username": "owner", "password": ENV["SHOP_OWNER_PASSWORD"]}
    before = sign_in(service, right)
    assert before.status == 302
    device = f"device={cookie_of(before, 'device')}"

    def act() -> None:
        pages_answer(service, client)
        answer = sign_in(service, right, device)
        assert answer.status == 302

    answers = while_crowded(lambda: sign_in(service, {**right, "password": "wrong"}).status, 8, act)
    assert set(answers) <= {422, 429} and answers[429]


def test_unfinished_bodies_and_headers_hold_up_nobody(service: Running, client: Client) -> None:
    form = head("/sign-in/", 1000, f"Cookie: csrftoken={'a' * 32}", kind="application/x-www-form-urlencoded")
    signed = head("/api/v1/clients/", 1000, f"Authorization: Bearer {client.token}")
    with ExitStack() as lines:
        for n in range(SENDERS):
            lines.enter_context(begin(service, (form + b"username=ow", signed + HALF)[n % 2]))
        for _ in range(SILENT):
            lines.enter_context(begin(service, b"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "))
        pages_answer(service, client)


def test_a_body_that_stops_is_given_up_and_one_that_pauses_is_not(service: Running, client: Client) -> None:
    body = json.dumps({"name": "Orla Fenwick"}).encode()
    signed = f"Authorization: Bearer {client.token}"
    with (
        begin(service, head("/api/v1/clients/", len(body), signed) + body[:9]) as stopped,
        begin(service, head("/api/v1/clients/", len(body), signed) + body[:9]) as slow,
    ):
        time.sleep(4)
        slow.sendall(body[9:])
        assert slow.recv(4096).startswith(b"HTTP/1.1 201")
        began = time.monotonic()
        answer = stopped.recv(4096)
        assert answer.startswith(b"HTTP/1.1 408"), answer
        assert b"retry-after" in answer.lower() and time.monotonic() - began < 20
        stopped.settimeout(10)
        assert stopped.recv(4096) == b""  # the connection is closed


def test_a_body_cut_off_changes_nothing(service: Running, client: Client) -> None:
    before = len(client.get("clients/")["results"])
    body = json.dumps({"name": "Orla Fenwick"}).encode()
    signed = f"Authorization: Bearer {client.token}"
    with begin(service, head("/api/v1/clients/", len(body) + 1, signed) + body) as line:
        line.shutdown(socket.SHUT_WR)
        assert not line.recv(4096).startswith(b"HTTP/1.1 2")
    assert len(client.get("clients/")["results"]) == before
