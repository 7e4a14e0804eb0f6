"""Request bodies, awaited without a thread: a sender that stops halfway blocks nobody."""

import asyncio
import math
import tempfile
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import IO, Any

Receive = Callable[[], Awaitable[dict[str, Any]]]
QUIET_S, FIRST_S, LEAST_BYTES_S = 10.0, 15.0, 16 * 1024
"""Longest pause within a body; time for any body, and more by its length at this slow a line."""
MOST_OF_ADDRESS, MOST = 16, 256
"""Bodies under way at once: of one address, and in this process; beyond it the oldest are given up."""
MOST_WAITING_BYTES = 128 * 1024 * 1024
IN_MEMORY = 256 * 1024


class NotTaken(Exception):
    """A body that took too long, or one given up for others."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status = status


class Gone(Exception):
    """The sender closed the connection."""


@dataclass(kw_only=True)
class Awaited:
    """A body under way: its address, its announced length, and its time limit."""

    address: str
    length: int
    limit: asyncio.Timeout
    given_up: bool = False


@dataclass
class Bodies:
    """The bodies that this process waits for, oldest first."""

    waiting: list[Awaited] = field(default_factory=list)

    async def take(self, receive: Receive, *, length: int, address: str) -> IO[bytes]:
        """Return the whole body, or raise ``NotTaken`` or ``Gone``."""
        body = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115  (closed by its reader)
        try:
            await self._fill(body, receive, length, address)
        except BaseException:
            body.close()
            raise
        body.seek(0)
        return body

    async def _fill(self, body: IO[bytes], receive: Receive, length: int, address: str) -> None:
        now = asyncio.get_running_loop().time
        last = now() + FIRST_S + length / LEAST_BYTES_S
        limit = asyncio.timeout_at(min(last, now() + QUIET_S))
        one = Awaited(address=address, length=length, limit=limit)
        taken, more = 0, True
        try:
            async with limit:
                self.waiting.append(one)
                self._make_room(address, now())
                while more:
                    message = await receive()
                    if message["type"] == "http.disconnect":
                        raise Gone
                    chunk, more = message.get("body", b""), message.get("more_body", False)
                    body.write(chunk)
                    taken += len(chunk)
                    if chunk and not one.given_up:
                        limit.reschedule(min(last, now() + QUIET_S))
        except TimeoutError:
            if one.given_up:
                raise NotTaken(429, "There are too many unfinished requests.") from None
            raise NotTaken(408, "The body did not come in time.") from None
        finally:
            if not one.given_up:
                self.waiting.remove(one)
        if taken < length:
            raise Gone

    def _make_room(self, address: str, now: float) -> None:
        """Give up the oldest bodies where there are too many: a body that comes whole always gets in."""
        same = [one for one in self.waiting if one.address == address]
        if len(same) > MOST_OF_ADDRESS:
            self._give_up(same[0], now)
        while len(self.waiting) > MOST or self._bytes_too_many():
            self._give_up(self.waiting[0], now)

    def _bytes_too_many(self) -> bool:
        return len(self.waiting) > 1 and sum(one.length for one in self.waiting) > MOST_WAITING_BYTES

    def _give_up(self, one: Awaited, now: float) -> None:
        one.given_up = True
        self.waiting.remove(one)
        one.limit.reschedule(now)


def retry_after_s() -> str:
    """Return the seconds until a retry is worth while: by then the present unfinished bodies are given up."""
    return str(math.ceil(FIRST_S))
