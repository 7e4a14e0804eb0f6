"""Every kind of event by its name: one class holds its payload, its projection and its sentence.

A class decorated with ``event_kind`` declares the members of the payload with their types. It says what it
writes into the state tables and what the history shows. Its projection reads no clock, setting, reading or
calculation.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol, TypeVar, dataclass_transform
from uuid import UUID

from jobs.core.errors import LogBroken
from jobs.core.typed_json import ABSENT, Json, Misfit, reader
from jobs.log.projections import rows
from jobs.models import Event, Stage

LONGEST_SHOWN = 60


class Wording(Protocol):
    """The words that a sentence needs from its door: names, private texts, amounts in the reader's units."""

    def text(self, ref: UUID | None) -> str:
        """Return a private text, empty for none."""

    def stage(self, piece: str, stage: str) -> str:
        """Return the title of a stage, or its key where it is gone."""

    def gate(self, piece: str, stage: str, gate: str) -> str:
        """Return the title of a gate, or its key as words."""

    def paper(self, kind: str) -> str:
        """Return the title of a kind of paper."""

    def measure(self, piece: str, stage: str, gate: str, stored: Json) -> str:
        """Return a measurement at a gate with the gate's unit."""

    def amount(self, stored: Json) -> str:
        """Return a measurement in the reader's units."""

    def day(self, day: date | None) -> str:
        """Return a day in words."""

    def money(self, amount: Decimal, currency: str) -> str:
        """Return an amount with its currency."""

    def person(self, key: str) -> str:
        """Return the name of somebody who works here."""

    def translated(self, word: str) -> str:
        """Return a word that the tables hold in the reader's language."""


class Payload(ABC):
    """The payload of one event. Its fields are the members of the stored JSON."""

    @abstractmethod
    def project(self, event: Event) -> None:
        """Write the event into the state tables."""

    @abstractmethod
    def sentence(self, tell: Wording) -> list[str]:
        """Return the sentence of the history and its details; an empty detail is left out."""

    def given(self, *names: str) -> Json:
        """Return those of these members that the event holds."""
        return {name: value for name in names if (value := getattr(self, name)) is not ABSENT}


@dataclass(frozen=True, kw_only=True)
class OfStage(Payload):
    """The payload of an event about one stage of a piece."""

    piece: str
    stage: str

    def stage_title(self, tell: Wording) -> str:
        """Return the title of the stage."""
        return tell.stage(self.piece, self.stage)

    def row(self) -> Stage:
        """Return the row of the stage that the event is about to change."""
        return rows.stage(self.piece, self.stage)


P = TypeVar("P", bound=Payload)


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of event, and what it touches beside its tables.

    ``is_money``: only the owner reads of it. ``keeps_routes``: its projection keeps the routes in hand up to
    date, or does not touch them. ``file``: the member that names a file.
    """

    name: str
    version: int
    payload: type[Payload]
    read: Callable[[Json], Payload]
    is_money: bool
    keeps_routes: bool
    file: str


KINDS: dict[str, Kind] = {}


@dataclass_transform(frozen_default=True, kw_only_default=True)
def event_kind(
    name: str, *, version: int = 1, is_money: bool = False, keeps_routes: bool = False, file: str = ""
) -> Callable[[type[P]], type[P]]:
    """Make a class a frozen dataclass and the payload of this kind of event."""

    def register(form: type[P]) -> type[P]:
        payload = dataclass(frozen=True, kw_only=True)(form)
        if left := sorted(payload.__abstractmethods__):
            raise TypeError(f"{form.__name__} has no {left[0]}")
        if name in KINDS:
            raise TypeError(f"{name} is {KINDS[name].payload.__name__} already")
        KINDS[name] = Kind(
            name=name, version=version, payload=payload, read=reader(payload), is_money=is_money,
            keeps_routes=keeps_routes, file=file,
        )  # fmt: skip
        return payload

    return register


def kind_of(name: str) -> Kind:
    """Return a kind of event by its name; refuse an unknown one."""
    if name not in KINDS:
        raise LogBroken(f"no kind of event is called {name}")
    return KINDS[name]


def payload_of(event: Event) -> Payload:
    """Return the payload of an event; refuse an unknown kind or version, and a member that does not fit."""
    kind = kind_of(event.kind)
    if event.version > kind.version:
        raise LogBroken(f"event {event.seq} ({event.kind}) is of version {event.version}, which is not known")
    try:
        return kind.read(event.data)
    except Misfit as wrong:
        shown = repr(wrong.value)[:LONGEST_SHOWN]
        raise LogBroken(
            f"event {event.seq} ({event.kind}): {wrong.member} is {shown}; allowed: {wrong.allowed}",
            field=wrong.member,
            value=shown,
            allowed=wrong.allowed,
        ) from None


def file_of(event: Event) -> UUID | None:
    """Return the private text that names an event's file, where it has one."""
    name = KINDS[event.kind].file
    found: UUID | None = getattr(payload_of(event), name) if name else None
    return found
