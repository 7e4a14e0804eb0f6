"""Chance that falls alike in every test, so that the same work gives the same rows: see ``kept_work``."""

import secrets
import uuid
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from hashlib import sha256
from threading import Lock
from types import SimpleNamespace
from unittest.mock import patch

from jobs.log import commands, private_texts


class Dice:
    """Each roll is known by its lot and its number."""

    def __init__(self) -> None:
        self.lot = self.rolls = 0
        self.one_by_one = Lock()

    def begin(self) -> None:
        self.rolls = 0

    def go_on(self) -> None:
        """Roll on beyond what any test rolls: its rows come beside those of another test."""
        self.rolls += 100_000

    @contextmanager
    def other_lot(self) -> Iterator[None]:
        """Roll otherwise: for rows that outlast one test, beside which none may come twice."""
        self.lot += 1
        yield
        self.lot -= 1

    def roll(self) -> bytes:
        with self.one_by_one:
            self.rolls += 1
            return sha256(f"{self.lot} {self.rolls}".encode()).digest()

    def uuid4(self) -> uuid.UUID:
        return uuid.UUID(bytes=self.roll()[:16], version=4)

    def token_hex(self, count: int) -> str:
        return self.roll()[:count].hex()


dice = Dice()


@contextmanager
def same_each_time() -> Iterator[None]:
    """Let the log roll these dice for what is random in it."""
    with ExitStack() as until:
        for module in (commands, private_texts):
            rolled = {"uuid": ("uuid4", uuid), "secrets": ("token_hex", secrets)}
            for name, (call, real) in rolled.items():
                instead = SimpleNamespace(**{**vars(real), call: getattr(dice, call)})
                until.enter_context(patch.object(module, name, instead))
        yield
