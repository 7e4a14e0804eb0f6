"""Events as plain sentences."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.refs import kept_in
from jobs.core.typed_json import Json
from jobs.core.units import Units
from jobs.domain.checks import SYSTEM
from jobs.domain.clients.updates import CLIENT
from jobs.domain.papers.kinds import paper_title
from jobs.domain.stages.measurements import show
from jobs.domain.waits.queries import stage_title
from jobs.log.history import without_money
from jobs.log.private_texts import Texts
from jobs.log.projections import rows
from jobs.log.projections.kinds import Wording, payload_of
from jobs.models import Event, Person
from jobs.web.kit.formatting import day_words, money_words
from jobs.web.kit.stored_translations import translate_stored

Words = dict[str, Any]
MILESTONES = (
    "commission_opened", "commission_moved", "acceptance_taken_back", "offer_issued", "offer_accepted",
    "offer_declined", "paper_issued", "payment_received", "piece_added", "stage_finished", "stage_redone",
    "picture_taken", "note_written", "client_told", "client_asked",
)  # fmt: skip
"""Kinds of event that the history shows at first; the others say how they came about."""


class Telling(Wording):
    """Names, stages and private texts of a list of events, read once."""

    def __init__(self, events: list[Event], units: Units, names: Mapping[str, str]) -> None:
        self.units = units
        self.names = names
        pieces = {e.data["piece"] for e in events if "piece" in e.data}
        self.stages = {(s.piece.number, s.key): s for s in rows.stages_of(pieces)}
        refs = [UUID(kept["private"]) for e in events for kept in kept_in(e.data)]
        self.texts = Texts([*refs, *(s.title_ref for s in self.stages.values())])

    def text(self, ref: UUID | None) -> str:
        return self.texts[ref]

    def stage(self, piece: str, stage: str) -> str:
        found = self.stages.get((piece, stage))
        return stage_title(found, self.texts) if found else stage

    def gate(self, piece: str, stage: str, gate: str) -> str:
        found = self.stages.get((piece, stage))
        titles = {g["key"]: g["title"] for g in found.spec["gates"]} if found else {}
        return str(titles.get(gate, gate.replace(":", ": ").replace("_", " ")))

    def paper(self, kind: str) -> str:
        return translate_stored(paper_title(kind))

    def measure(self, piece: str, stage: str, gate: str, stored: Json) -> str:
        found = self.stages.get((piece, stage))
        units = {g["key"]: g.get("unit", "") for g in found.spec["gates"]} if found else {}
        return measure_words(stored, units.get(gate, ""), self.units)

    def amount(self, stored: Json) -> str:
        return show(stored, self.units)

    def day(self, day: date | None) -> str:
        return day_words(day, timezone.localdate()) if day else _("none")

    def money(self, amount: Decimal, currency: str) -> str:
        return money_words(amount, currency)

    def person(self, key: str) -> str:
        return self.names.get(key, "")

    def translated(self, word: str) -> str:
        return translate_stored(word)


def measure_words(stored: Words, unit: str, units: Units) -> str:
    """Return a measurement in the reader's units."""
    return show(stored, units) + (_(" min") if unit == "minutes" else "")


def names_of_people() -> dict[str, str]:
    """Return the name of everybody who acts, by the id that events hold."""
    return {p.id: str(p) for p in Person.objects.all()} | {SYSTEM: _("The service")}


def event_rows(
    events: Iterable[Event], *, units: Units, with_money: bool, names: Mapping[str, str]
) -> list[Words]:
    """Return the events as sentences; events about money only where ``with_money``."""
    events = list(events) if with_money else without_money(events)
    telling = Telling(events, units, names)
    return [
        {
            "seq": e.seq,
            "kind": e.kind,
            "stream": e.stream,
            "at": e.occurred_at,
            "recorded_at": e.recorded_at,
            "who": telling.names.get(e.actor) or (_("The client") if e.actor.startswith(CLIENT) else e.actor),
            "hash": e.hash,
            "piece": e.data.get("piece", ""),
            **_told(telling, e),
        }
        for e in events
    ]


def by_day(events: Iterable[Words]) -> list[Words]:
    """Return events by the day on which they happened, in their order."""
    return [
        {"on": on, "events": list(of_day)}
        for on, of_day in groupby(events, key=lambda event: timezone.localtime(event["at"]).date())
    ]


def _told(telling: Telling, event: Event) -> Words:
    text, *details = payload_of(event).sentence(telling)
    return {"text": text, "details": [d for d in details if d]}
