"""Bodies that come slowly, or not at all, and too many of them."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from shop import bodies
from shop.bodies import Bodies, Gone, NotTaken


class Line:
    """What a sender has sent so far; the rest comes when the test says so."""

    def __init__(self, *chunks: bytes) -> None:
        self.messages: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        for chunk in chunks:
            self.say(chunk)

    def say(self, chunk: bytes, *, more: bool = True) -> None:
        self.messages.put_nowait({"type": "http.request", "body": chunk, "more_body": more})

    def take(self, keeper: Bodies, *, length: int, address: str = "a") -> "asyncio.Task[Any]":
        return asyncio.ensure_future(keeper.take(self.messages.get, length=length, address=address))


def ran(story: Callable[[], Any]) -> Any:
    """Run the story in a thread: in the main one a browser's loop may run already."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(story())).result()


def test_a_body_in_pieces_is_whole():
    async def story() -> bytes:
        line = Line(b"half ")
        line.say(b"and half", more=False)
        with await line.take(Bodies(), length=13) as body:
            return body.read()

    assert ran(story) == b"half and half"


def test_a_large_body_is_whole_too():
    async def story() -> int:
        line = Line(*[bytes(100_000)] * 9)
        line.say(b"", more=False)
        with await line.take(Bodies(), length=900_000) as body:
            return len(body.read())

    assert ran(story) == 900_000


def test_a_sender_who_is_gone_is_no_sender():
    async def story() -> None:
        cut, gone = Line(), Line(b"x")
        cut.say(b"half", more=False)
        gone.messages.put_nowait({"type": "http.disconnect"})
        keeper = Bodies()
        for line in (cut, gone):
            with pytest.raises(Gone):
                await line.take(keeper, length=10)
        assert keeper.waiting == []

    ran(story)


def test_a_body_that_stops_or_drips_is_given_up(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bodies, "QUIET_S", 0.1)
    monkeypatch.setattr(bodies, "FIRST_S", 0.4)

    async def story() -> None:
        keeper, stopped, dripping = Bodies(), Line(b"x"), Line()
        with pytest.raises(NotTaken) as refused:
            await stopped.take(keeper, length=1000)
        assert refused.value.status == 408
        taken = dripping.take(keeper, length=1000)
        for _ in range(40):
            dripping.say(b"x")
            await asyncio.sleep(0.02)
        with pytest.raises(NotTaken):
            await taken
        assert keeper.waiting == []

    ran(story)


def test_the_oldest_make_room_and_what_comes_whole_always_gets_in(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bodies, "MOST_OF_ADDRESS", 3)
    monkeypatch.setattr(bodies, "MOST", 5)
    monkeypatch.setattr(bodies, "MOST_WAITING_BYTES", 1000)

    async def story() -> list[str]:
        keeper = Bodies()
        kept = [Line(b"x").take(keeper, length=10, address=a) for a in "aaaabbb"]
        await asyncio.sleep(0.01)
        whole = Line()
        whole.say(b"0123456789", more=False)
        with await whole.take(keeper, length=10, address="b") as body:
            assert body.read() == b"0123456789"
        large = Line(b"x").take(keeper, length=5000, address="c")
        await asyncio.sleep(0.01)
        states = []
        for one in (*kept, large):
            if one.done():
                with pytest.raises(NotTaken) as refused:
                    await one
                states.append(str(refused.value.status))
            else:
                states.append("waits")
                one.cancel()
        return states

    # The fourth of a ends the first, the third of b makes six, the whole one is b's fourth; the large one
    # ends all that are left.
    assert ran(story) == ["429"] * 7 + ["waits"]
