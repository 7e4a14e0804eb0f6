"""Events in plain words."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from jobs import gates
from jobs.commands.telling import CLIENT
from jobs.models import Event, Offer, Paper, Person, SafetyTask, Stage
from jobs.names import SYSTEM
from jobs.private import Texts, kept_in
from jobs.queries.events import without_money
from jobs.queries.routes import stage_title
from jobs.web.words import day_words, money_words

Words = dict[str, Any]


class Telling:
    """What the events of a list are told with: names, stages and private texts, read once."""

    def __init__(self, events: list[Event], units: gates.Units, names: Mapping[str, str]) -> None:
        self.units = units
        self.names = names
        pieces = {e.data["piece"] for e in events if "piece" in e.data}
        found = Stage.objects.filter(piece__number__in=pieces).select_related("piece")
        self.stages = {(s.piece.number, s.key): s for s in found}
        refs = [UUID(kept["private"]) for e in events for kept in kept_in(e.data)]
        self.texts = Texts([*refs, *(s.title_ref for s in self.stages.values())])

    def text(self, kept: dict[str, str] | None) -> str:
        return self.texts[UUID(kept["private"])] if kept else ""

    def stage(self, data: dict[str, Any]) -> str:
        stage = self.stages.get((data["piece"], data["stage"]))
        return stage_title(stage, self.texts) if stage else data["stage"]

    def gate(self, data: dict[str, Any], key: str) -> str:
        """A gate's title, or the plain name of what was passed."""
        stage = self.stages.get((data["piece"], data["stage"]))
        titles = {g["key"]: g["title"] for g in stage.spec["gates"]} if stage else {}
        return str(titles.get(key, key.replace(":", ": ").replace("_", " ")))

    def measure(self, data: Words, key: str, stored: Words) -> str:
        stage = self.stages.get((data["piece"], data["stage"]))
        units = {g["key"]: g.get("unit", "") for g in stage.spec["gates"]} if stage else {}
        return measure_words(stored, units.get(key, ""), self.units)

    def details(self, data: dict[str, Any]) -> list[str]:
        """What was measured at a stage, and what was passed with which reason."""
        measured = [f"{self.gate(data, k)}: {self.measure(data, k, v)}" for k, v in data["measured"].items()]
        passed = [f"{self.gate(data, k)} overridden: {self.text(v)}" for k, v in data["overrides"].items()]
        return measured + passed


def measure_words(stored: Words, unit: str, units: gates.Units) -> str:
    """What was measured, in the reader's units."""
    return gates.show(stored, units) + (" min" if unit == "minutes" else "")


def names_of_people() -> dict[str, str]:
    """Everybody who acts, by the id that events hold."""
    return {p.id: str(p) for p in Person.objects.all()} | {SYSTEM: "The service"}


def event_rows(
    events: Iterable[Event], *, units: gates.Units, with_money: bool, names: Mapping[str, str]
) -> list[Words]:
    """The events in words, without what is about money for those who do not see it."""
    events = list(events) if with_money else without_money(events)
    telling = Telling(events, units, names)
    return [
        {
            "seq": e.seq,
            "kind": e.kind,
            "stream": e.stream,
            "at": e.occurred_at,
            "recorded_at": e.recorded_at,
            "who": telling.names.get(e.actor) or ("The client" if e.actor.startswith(CLIENT) else e.actor),
            "hash": e.hash,
            "piece": e.data.get("piece", ""),
            **_told(telling, e),
        }
        for e in events
    ]


def _told(telling: Telling, event: Event) -> Words:
    text, *details = TOLD[event.kind](telling, event.data)
    return {"text": text, "details": [d for d in details if d]}


def _day(text: str | None) -> str:
    return day_words(date.fromisoformat(text), timezone.localdate()) if text else "none"


def _opened(tell: Telling, data: Words) -> list[str]:
    return [f"Commission {data['number']} opened: {tell.text(data['title'])}"]


def _changed(tell: Telling, data: Words) -> list[str]:
    words = []
    if "title" in data:
        words.append(f"title: {tell.text(data['title'])}")
    if "promise_on" in data:
        words.append(f"promised: {_day(data['promise_on'])}")
    if "tell_days" in data:
        days = data["tell_days"]
        words.append("client told as usual" if days is None else f"client told after {days} days")
    if "notes" in data:
        words.append("notes")
    return ["Changed " + "; ".join(words)]


def _piece_changed(tell: Telling, data: Words) -> list[str]:
    count = len(data["changed"])
    return [f"Piece changed: {tell.text(data['label'])}", f"{count} figures differ" if count else ""]


def _started(tell: Telling, data: Words) -> list[str]:
    return [f"{tell.stage(data)}: started" + (" by itself" if data["auto"] else ""), *tell.details(data)]


def _finished(tell: Telling, data: Words) -> list[str]:
    minutes = f" after {data['minutes']} min" if data["minutes"] else ""
    return [f"{tell.stage(data)}: finished{minutes}", *tell.details(data), tell.text(data["remark"])]


def _priced(tell: Telling, data: Words) -> list[str]:
    currency = f" in {data['currency']}" if data["currency"] else ""
    return [f"Price set{currency}, {_lines(len(data['lines']))}"]


def _redone(tell: Telling, data: Words) -> list[str]:
    others = [tell.stage({**data, "stage": key}) for key in data["again"] if key != data["stage"]]
    again = f"Planned again with it: {', '.join(others)}" if others else ""
    narrower = "Width lost to ripped joints, figured again" if data["piece_now"] else ""
    return [f"{tell.stage(data)}: to be done again", tell.text(data["reason"]), again, narrower]


def _corrected(tell: Telling, data: Words) -> list[str]:
    was, now = gates.show(data["was"], tell.units), gates.show(data["value"], tell.units)
    passed = [f"Taken outside its limits: {tell.text(v)}" for v in data["overrides"].values()]
    title = tell.gate(data, data["gate"])
    return [f"{tell.stage(data)}: {title} put right, {was} to {now}", tell.text(data["reason"]), *passed]


def _paid(tell: Telling, data: Words) -> list[str]:
    amount = money_words(abs(Decimal(data["amount"])), data["currency"])
    how = "given back" if data["what"] == "repayment" else f"{data['what']} received"
    return [f"{how.capitalize()}: {amount}", tell.text(data["note"])]


def _issued(tell: Telling, data: Words) -> list[str]:
    return [f"{Paper.Kind(data['kind']).label} {data['paper']} issued"]


def _offer(data: Words) -> str:
    return f"{data['offer']}, version {data['version']}"


def _offer_drafted(tell: Telling, data: Words) -> list[str]:
    return [f"{Offer.Kind(data['kind']).label} {_offer(data)} written", tell.text(data["words"])]


def _offer_accepted(tell: Telling, data: Words) -> list[str]:
    count = len(data["chosen"])
    chosen = f"with {count} alternative{'s' if count > 1 else ''}" if count else ""
    name = tell.text(data["name"])
    return [f"{_offer(data)} accepted", f"Name typed: {name}" if name else "", chosen]


def _board_added(tell: Telling, data: Words) -> list[str]:
    sides = " × ".join(data["typed"][name] for name in ("thickness", "width", "length"))
    return [f"Board {data['board']} added: {data['species']}, {sides}", tell.text(data["note"])]


def _told_client(data: Words) -> str:
    shown = f", with {len(data['pictures'])} pictures" if data["pictures"] else ""
    return f"Client told{shown}" + (", by mail too" if data["by_mail"] else "")


def _lot(data: Words) -> str:
    return f"lot {data['lot']}" if data["lot"] else ""


def _equipment(kind: str, count: int) -> str:
    return f"1 {kind}" if count == 1 else f"{count} {kind}s"


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"


TOLD: dict[str, Callable[[Telling, Words], list[str]]] = {
    "client_added": lambda tell, d: [f"Client added: {tell.text(d['name'])}"],
    "client_changed": lambda tell, d: ["Client changed"],
    "commission_opened": _opened,
    "commission_changed": _changed,
    "commission_moved": lambda tell, d: [f"Commission is {d['to']}", tell.text(d["reason"])],
    "price_set": _priced,
    "piece_added": lambda tell, d: [f"Piece added: {tell.text(d['label'])}"],
    "piece_changed": _piece_changed,
    "piece_removed": lambda tell, d: ["Piece removed"],
    "stage_started": _started,
    "stage_finished": _finished,
    "stage_put_back": lambda tell, d: [f"{tell.stage(d)}: put back, as if it had not been started"],
    "stage_paused": lambda tell, d: [f"{tell.stage(d)}: paused"],
    "stage_resumed": lambda tell, d: [f"{tell.stage(d)}: went on"],
    "stage_skipped": lambda tell, d: [f"{tell.stage(d)}: skipped", tell.text(d["reason"])],
    "stage_redone": _redone,
    "measurement_corrected": _corrected,
    "route_changed": lambda tell, d: [f"Route changed by hand, {len(d['stages'])} stages now"],
    "template_set": lambda tell, d: [f"Route template {d['key']}, version {d['version']}"],
    "wait_changed": lambda tell, d: [f"{tell.stage(d)}: its wait was figured anew", d["reason"]],
    "stage_reopened": lambda tell, d: [f"{tell.stage(d)}: reopened", tell.text(d["reason"])],
    "wait_started": lambda tell, d: [f"{d['title']}: began", d["reason"]],
    "wait_start_corrected": lambda tell, d: [
        f"{tell.stage(d)}: its wait began at another time",
        tell.text(d["reason"]),
    ],
    "wait_finished": lambda tell, d: [f"{tell.stage(d)}: wait over", tell.text(d["reason"])],
    "reminder_acknowledged": lambda tell, d: [f"Reminder acknowledged ({d['kind']})"],
    "reminder_snoozed": lambda tell, d: [f"Reminder put off ({d['kind']})"],
    "task_opened": lambda tell, d: [f"{SafetyTask.Kind(d['kind']).label} Asked after {tell.stage(d)}"],
    "task_moved": lambda tell, d: [f"{SafetyTask.Kind(d['kind']).label} Asked after {tell.stage(d)} now"],
    "task_settled": lambda tell, d: [SafetyTask.Kind(d["kind"]).label, tell.text(d["how"])],
    "task_snoozed": lambda tell, d: ["Safety task put off"],
    "shop_set": lambda tell, d: ["Shop settings changed"],
    "sheet_set": lambda tell, d: [f"Product sheet {d['key']}, version {d['version']}"],
    "offer_drafted": _offer_drafted,
    "offer_issued": lambda tell, d: [
        f"{_offer(d)} issued as {d['issued_as']}",
        f"holds until {_day(d['valid_until'])}",
    ],
    "offer_accepted": _offer_accepted,
    "offer_declined": lambda tell, d: [f"{_offer(d)} declined", tell.text(d["reason"])],
    "offer_expired": lambda tell, d: [f"{_offer(d)} expired"],
    "paper_issued": _issued,
    "picture_taken": lambda tell, d: [f"{tell.stage(d)}: a picture", tell.text(d["words"])],
    "picture_removed": lambda tell, d: [f"{tell.stage(d)}: a picture removed", tell.text(d["reason"])],
    "paper_rendered": lambda tell, d: [f"{d['paper']} is ready to print"],
    "paper_withdrawn": lambda tell, d: [f"{d['paper']} withdrawn", tell.text(d["reason"])],
    "payment_received": _paid,
    "note_written": lambda tell, d: [f"{tell.stage(d)}: a note for next time", tell.text(d["words"])],
    "note_dismissed": lambda tell, d: ["Note for next time read"],
    "note_retired": lambda tell, d: ["Note for next time retired", tell.text(d["reason"])],
    "board_added": _board_added,
    "board_cut": lambda tell, d: [f"Board {d['board']} cut off board {d['cut_from']}", tell.text(d["note"])],
    "board_moisture_read": lambda tell, d: [f"Board {d['board']}: moisture {d['pct']} %"],
    "board_moisture_voided": lambda tell, d: [f"Board {d['board']}: a moisture reading taken back"],
    "board_reserved": lambda tell, d: [f"Board {d['board']} reserved for {d['piece']}"],
    "board_released": lambda tell, d: [f"Board {d['board']} is free again"],
    "board_used": lambda tell, d: [f"Board {d['board']} used for {d['piece']}"],
    "board_written_off": lambda tell, d: [f"Board {d['board']} written off", tell.text(d["reason"])],
    "supply_added": lambda tell, d: [f"Supply added: {tell.text(d['name'])}", _lot(d)],
    "supply_opened": lambda tell, d: [f"Supply opened {_day(d['opened_on'])}"],
    "supply_level_set": lambda tell, d: [f"Supply is {d['level']}"],
    "supply_refilled": lambda tell, d: ["Supply refilled", _lot(d)],
    "supply_discarded": lambda tell, d: ["Supply discarded", tell.text(d["reason"])],
    "equipment_added": lambda tell, d: [f"{_equipment(d['kind'], d['count'])} added", tell.text(d["name"])],
    "equipment_changed": lambda tell, d: ["Equipment changed"],
    "equipment_retired": lambda tell, d: ["Equipment out of use"],
    "equipment_taken": lambda tell, d: [
        f"{tell.stage(d)}: {_equipment('clamp', sum(t['count'] for t in d['taken']))} taken"
    ],
    "equipment_freed": lambda tell, d: [f"{tell.stage(d)}: clamps free again"],
    "client_forgotten": lambda tell, d: ["Client forgotten", f"{d['texts']} texts; {d['held']} are held"],
    "client_hold_ended": lambda tell, d: ["Papers of a forgotten client let go", f"{d['texts']} texts"],
    "client_told": lambda tell, d: [_told_client(d), tell.text(d["words"])],
    "client_asked": lambda tell, d: ["The client asked", tell.text(d["words"])],
    "question_settled": lambda tell, d: ["A question of the client settled", tell.text(d["how"])],
}
"""Each kind of event as a sentence and its details."""
