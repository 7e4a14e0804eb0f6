"""Events as plain sentences."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.refs import kept_in
from jobs.domain.checks import SYSTEM
from jobs.domain.clients.updates import CLIENT
from jobs.domain.stages import gates
from jobs.domain.waits.queries import stage_title
from jobs.log.history import without_money
from jobs.log.private_texts import Texts
from jobs.log.projections import rows
from jobs.models import Event, Offer, Paper, Person, SafetyTask
from jobs.web.kit.formatting import day_words, money_words
from jobs.web.kit.stored_translations import translate_stored

Words = dict[str, Any]


class Telling:
    """Names, stages and private texts of a list of events, read once."""

    def __init__(self, events: list[Event], units: gates.Units, names: Mapping[str, str]) -> None:
        self.units = units
        self.names = names
        pieces = {e.data["piece"] for e in events if "piece" in e.data}
        self.stages = {(s.piece.number, s.key): s for s in rows.stages_of(pieces)}
        refs = [UUID(kept["private"]) for e in events for kept in kept_in(e.data)]
        self.texts = Texts([*refs, *(s.title_ref for s in self.stages.values())])

    def text(self, kept: dict[str, str] | None) -> str:
        return self.texts[UUID(kept["private"])] if kept else ""

    def stage(self, data: dict[str, Any]) -> str:
        stage = self.stages.get((data["piece"], data["stage"]))
        return stage_title(stage, self.texts) if stage else data["stage"]

    def gate(self, data: dict[str, Any], key: str) -> str:
        """Return a gate's title, or its key as words."""
        stage = self.stages.get((data["piece"], data["stage"]))
        titles = {g["key"]: g["title"] for g in stage.spec["gates"]} if stage else {}
        return str(titles.get(key, key.replace(":", ": ").replace("_", " ")))

    def measure(self, data: Words, key: str, stored: Words) -> str:
        stage = self.stages.get((data["piece"], data["stage"]))
        units = {g["key"]: g.get("unit", "") for g in stage.spec["gates"]} if stage else {}
        return measure_words(stored, units.get(key, ""), self.units)

    def details(self, data: dict[str, Any]) -> list[str]:
        """Return the measurements at a stage, and each overridden gate with its reason."""
        measured = [f"{self.gate(data, k)}: {self.measure(data, k, v)}" for k, v in data["measured"].items()]
        passed = [
            _("%(gate)s overridden: %(why)s") % {"gate": self.gate(data, k), "why": self.text(v)}
            for k, v in data["overrides"].items()
        ]
        return measured + passed


def measure_words(stored: Words, unit: str, units: gates.Units) -> str:
    """Return a measurement in the reader's units."""
    return gates.show(stored, units) + (_(" min") if unit == "minutes" else "")


def names_of_people() -> dict[str, str]:
    """Return the name of everybody who acts, by the id that events hold."""
    return {p.id: str(p) for p in Person.objects.all()} | {SYSTEM: _("The service")}


def event_rows(
    events: Iterable[Event], *, units: gates.Units, with_money: bool, names: Mapping[str, str]
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


def _told(telling: Telling, event: Event) -> Words:
    text, *details = TOLD[event.kind](telling, event.data)
    return {"text": text, "details": [d for d in details if d]}


def _day(text: str | None) -> str:
    return day_words(date.fromisoformat(text), timezone.localdate()) if text else _("none")


def _opened(tell: Telling, data: Words) -> list[str]:
    return [
        _("Commission %(number)s opened: %(title)s")
        % {"number": data["number"], "title": tell.text(data["title"])}
    ]


def _changed(tell: Telling, data: Words) -> list[str]:
    words = []
    if "title" in data:
        words.append(_("title: %(title)s") % {"title": tell.text(data["title"])})
    if "promise_on" in data:
        words.append(_("promised: %(day)s") % {"day": _day(data["promise_on"])})
    if "tell_days" in data:
        days = data["tell_days"]
        words.append(
            _("client told as usual")
            if days is None
            else _("client told after %(days)s days") % {"days": days}
        )
    if "notes" in data:
        words.append(_("notes"))
    return [_("Changed %(what)s") % {"what": "; ".join(words)}]


def _piece_changed(tell: Telling, data: Words) -> list[str]:
    count = len(data["changed"])
    return [
        _("Piece changed: %(label)s") % {"label": tell.text(data["label"])},
        _("%(count)s figures differ") % {"count": count} if count else "",
    ]


def _started(tell: Telling, data: Words) -> list[str]:
    return [
        (_("%(stage)s: started by itself") if data["auto"] else _("%(stage)s: started"))
        % {"stage": tell.stage(data)},
        *tell.details(data),
    ]


def _finished(tell: Telling, data: Words) -> list[str]:
    says = _("%(stage)s: finished after %(minutes)s min") if data["minutes"] else _("%(stage)s: finished")
    return [
        says % {"stage": tell.stage(data), "minutes": data["minutes"]},
        *tell.details(data),
        tell.text(data["remark"]),
    ]


def _priced(tell: Telling, data: Words) -> list[str]:
    says = _("Price set in %(currency)s, %(lines)s") if data["currency"] else _("Price set, %(lines)s")
    return [says % {"currency": data["currency"], "lines": _lines(len(data["lines"]))}]


def _redone(tell: Telling, data: Words) -> list[str]:
    others = [tell.stage({**data, "stage": key}) for key in data["again"] if key != data["stage"]]
    again = _("Planned again with it: %(others)s") % {"others": ", ".join(others)} if others else ""
    narrower = _("Width lost to ripped joints, figured again") if data["piece_now"] else ""
    return [
        _("%(stage)s: to be done again") % {"stage": tell.stage(data)},
        tell.text(data["reason"]),
        again,
        narrower,
    ]


def _corrected(tell: Telling, data: Words) -> list[str]:
    was, now = gates.show(data["was"], tell.units), gates.show(data["value"], tell.units)
    passed = [
        _("Taken outside its limits: %(why)s") % {"why": tell.text(v)} for v in data["overrides"].values()
    ]
    title = tell.gate(data, data["gate"])
    return [
        _("%(stage)s: %(title)s put right, %(was)s to %(now)s")
        % {"stage": tell.stage(data), "title": title, "was": was, "now": now},
        tell.text(data["reason"]),
        *passed,
    ]


def _added(tell: Telling, data: Words) -> list[str]:
    value = gates.show(data["value"], tell.units) if data["value"] else _("not known")
    return [
        _("%(stage)s: %(title)s said afterwards, %(value)s")
        % {"stage": tell.stage(data), "title": tell.gate(data, data["gate"]), "value": value},
        *(_("Taken all the same: %(why)s") % {"why": tell.text(v)} for v in data["overrides"].values()),
    ]


def _paid(tell: Telling, data: Words) -> list[str]:
    amount = money_words(abs(Decimal(data["amount"])), data["currency"])
    if data["what"] == "repayment":
        return [_("Given back: %(amount)s") % {"amount": amount}, tell.text(data["note"])]
    what = translate_stored(data["what"]).capitalize()
    return [_("%(what)s received: %(amount)s") % {"what": what, "amount": amount}, tell.text(data["note"])]


def _issued(tell: Telling, data: Words) -> list[str]:
    return [
        _("%(label)s %(paper)s issued")
        % {"label": translate_stored(Paper.Kind(data["kind"]).label), "paper": data["paper"]}
    ]


def _offer(data: Words) -> str:
    return _("%(offer)s, version %(version)s") % {"offer": data["offer"], "version": data["version"]}


def _offer_drafted(tell: Telling, data: Words) -> list[str]:
    return [
        _("%(label)s %(offer)s written")
        % {"label": translate_stored(Offer.Kind(data["kind"]).label), "offer": _offer(data)},
        tell.text(data["words"]),
    ]


def _offer_accepted(tell: Telling, data: Words) -> list[str]:
    count = len(data["chosen"])
    chosen = (
        ngettext("with %(count)s alternative", "with %(count)s alternatives", count) % {"count": count}
        if count
        else ""
    )
    name = tell.text(data["name"])
    return [
        _("%(offer)s accepted") % {"offer": _offer(data)},
        _("Name typed: %(name)s") % {"name": name} if name else "",
        chosen,
    ]


def _board_added(tell: Telling, data: Words) -> list[str]:
    sides = " × ".join(data["typed"][name] for name in ("thickness", "width", "length"))
    return [
        _("Board %(board)s added: %(species)s, %(sides)s")
        % {"board": data["board"], "species": data["species"], "sides": sides},
        tell.text(data["note"]),
    ]


def _told_client(data: Words) -> str:
    shown = _("with %(count)s pictures") % {"count": len(data["pictures"])} if data["pictures"] else ""
    return ", ".join(filter(None, (_("Client told"), shown, _("by mail too") if data["by_mail"] else "")))


def _lot(data: Words) -> str:
    return _("lot %(lot)s") % {"lot": data["lot"]} if data["lot"] else ""


def _equipment(kind: str, count: int) -> str:
    says = {
        "clamp": ngettext("%(count)s clamp", "%(count)s clamps", count),
        "bench place": ngettext("%(count)s bench place", "%(count)s bench places", count),
        "finishing room place": ngettext(
            "%(count)s finishing room place", "%(count)s finishing room places", count
        ),
    }
    return says[kind] % {"count": count}


def _lines(count: int) -> str:
    return ngettext("%(count)s line", "%(count)s lines", count) % {"count": count}


TOLD: dict[str, Callable[[Telling, Words], list[str]]] = {
    "client_added": lambda tell, d: [_("Client added: %(name)s") % {"name": tell.text(d["name"])}],
    "client_changed": lambda tell, d: [_("Client changed")],
    "commission_opened": _opened,
    "commission_changed": _changed,
    "acceptance_taken_back": lambda tell, d: [_("Acceptance taken back"), tell.text(d["reason"])],
    "commission_moved": lambda tell, d: [
        _("Commission is %(to)s") % {"to": translate_stored(d["to"])},
        tell.text(d["reason"]),
    ],
    "price_set": _priced,
    "piece_added": lambda tell, d: [_("Piece added: %(label)s") % {"label": tell.text(d["label"])}],
    "piece_changed": _piece_changed,
    "piece_removed": lambda tell, d: [_("Piece removed")],
    "stage_started": _started,
    "stage_finished": _finished,
    "stage_put_back": lambda tell, d: [
        _("%(stage)s: put back, as if it had not been started") % {"stage": tell.stage(d)}
    ],
    "stage_paused": lambda tell, d: [_("%(stage)s: paused") % {"stage": tell.stage(d)}],
    "stage_resumed": lambda tell, d: [_("%(stage)s: went on") % {"stage": tell.stage(d)}],
    "stage_skipped": lambda tell, d: [
        _("%(stage)s: skipped") % {"stage": tell.stage(d)},
        tell.text(d["reason"]),
    ],
    "stage_redone": _redone,
    "measurement_corrected": _corrected,
    "measurement_added": _added,
    "route_changed": lambda tell, d: [
        _("Route changed by hand, %(count)s stages now") % {"count": len(d["stages"])}
    ],
    "template_set": lambda tell, d: [
        _("Route template %(key)s, version %(version)s") % {"key": d["key"], "version": d["version"]}
    ],
    "wait_changed": lambda tell, d: [
        _("%(stage)s: its wait was figured anew") % {"stage": tell.stage(d)},
        d["reason"],
    ],
    "stage_reopened": lambda tell, d: [
        _("%(stage)s: reopened") % {"stage": tell.stage(d)},
        tell.text(d["reason"]),
    ],
    "wait_started": lambda tell, d: [_("%(title)s: began") % {"title": d["title"]}, d["reason"]],
    "wait_start_corrected": lambda tell, d: [
        _("%(stage)s: its wait began at another time") % {"stage": tell.stage(d)},
        tell.text(d["reason"]),
    ],
    "wait_finished": lambda tell, d: [
        _("%(stage)s: wait over") % {"stage": tell.stage(d)},
        tell.text(d["reason"]),
    ],
    "reminder_acknowledged": lambda tell, d: [
        _("Reminder acknowledged (%(kind)s)") % {"kind": translate_stored(d["kind"])}
    ],
    "reminder_snoozed": lambda tell, d: [
        _("Reminder put off (%(kind)s)") % {"kind": translate_stored(d["kind"])}
    ],
    "task_opened": lambda tell, d: [
        _("%(label)s Asked after %(stage)s")
        % {"label": translate_stored(SafetyTask.Kind(d["kind"]).label), "stage": tell.stage(d)}
    ],
    "task_moved": lambda tell, d: [
        _("%(label)s Asked after %(stage)s now")
        % {"label": translate_stored(SafetyTask.Kind(d["kind"]).label), "stage": tell.stage(d)}
    ],
    "task_settled": lambda tell, d: [translate_stored(SafetyTask.Kind(d["kind"]).label), tell.text(d["how"])],
    "task_snoozed": lambda tell, d: [_("Safety task put off")],
    "shop_set": lambda tell, d: [_("Shop settings changed")],
    "sheet_set": lambda tell, d: [
        _("Product sheet %(key)s, version %(version)s") % {"key": d["key"], "version": d["version"]}
    ],
    "offer_drafted": _offer_drafted,
    "offer_dropped": lambda tell, d: [_("%(offer)s thrown away") % {"offer": _offer(d)}],
    "offer_issued": lambda tell, d: [
        _("%(offer)s issued as %(issued_as)s") % {"offer": _offer(d), "issued_as": d["issued_as"]},
        _("holds until %(valid_until)s") % {"valid_until": _day(d["valid_until"])},
    ],
    "offer_accepted": _offer_accepted,
    "offer_declined": lambda tell, d: [
        _("%(offer)s declined") % {"offer": _offer(d)},
        tell.text(d["reason"]),
    ],
    "offer_expired": lambda tell, d: [_("%(offer)s expired") % {"offer": _offer(d)}],
    "paper_issued": _issued,
    "picture_taken": lambda tell, d: [
        _("%(stage)s: a picture") % {"stage": tell.stage(d)},
        tell.text(d["words"]),
    ],
    "picture_removed": lambda tell, d: [
        _("%(stage)s: a picture removed") % {"stage": tell.stage(d)},
        tell.text(d["reason"]),
    ],
    "paper_rendered": lambda tell, d: [_("%(paper)s is ready to print") % {"paper": d["paper"]}],
    "paper_withdrawn": lambda tell, d: [
        _("%(paper)s withdrawn") % {"paper": d["paper"]},
        tell.text(d["reason"]),
    ],
    "payment_received": _paid,
    "payment_voided": lambda tell, d: [_("Payment voided"), tell.text(d["reason"])],
    "note_written": lambda tell, d: [
        _("%(stage)s: a note for next time") % {"stage": tell.stage(d)},
        tell.text(d["words"]),
    ],
    "note_dismissed": lambda tell, d: [_("Note for next time read")],
    "note_retired": lambda tell, d: [_("Note for next time retired"), tell.text(d["reason"])],
    "board_added": _board_added,
    "board_changed": lambda tell, d: [
        _("Board %(board)s changed") % {"board": d["board"]},
        " × ".join(d["typed"][name] for name in ("thickness", "width", "length")) if "typed" in d else "",
        tell.text(d.get("note")),
    ],
    "board_cut": lambda tell, d: [
        _("Board %(board)s cut off board %(cut_from)s") % {"board": d["board"], "cut_from": d["cut_from"]},
        tell.text(d["note"]),
    ],
    "board_moisture_read": lambda tell, d: [
        _("Board %(board)s: moisture %(pct)s %%") % {"board": d["board"], "pct": d["pct"]}
    ],
    "board_moisture_voided": lambda tell, d: [
        _("Board %(board)s: a moisture reading taken back") % {"board": d["board"]}
    ],
    "board_reserved": lambda tell, d: [
        _("Board %(board)s reserved for %(piece)s") % {"board": d["board"], "piece": d["piece"]}
    ],
    "board_released": lambda tell, d: [_("Board %(board)s is free again") % {"board": d["board"]}],
    "board_used": lambda tell, d: [
        _("Board %(board)s used for %(piece)s") % {"board": d["board"], "piece": d["piece"]}
    ],
    "board_written_off": lambda tell, d: [
        _("Board %(board)s written off") % {"board": d["board"]},
        tell.text(d["reason"]),
    ],
    "supply_added": lambda tell, d: [_("Supply added: %(name)s") % {"name": tell.text(d["name"])}, _lot(d)],
    "supply_opened": lambda tell, d: [_("Supply opened %(opened_on)s") % {"opened_on": _day(d["opened_on"])}],
    "supply_level_set": lambda tell, d: [_("Supply is %(level)s") % {"level": translate_stored(d["level"])}],
    "supply_refilled": lambda tell, d: [_("Supply refilled"), _lot(d)],
    "supply_discarded": lambda tell, d: [_("Supply discarded"), tell.text(d["reason"])],
    "equipment_added": lambda tell, d: [
        _("%(count)s added") % {"count": _equipment(d["kind"], d["count"])},
        tell.text(d["name"]),
    ],
    "equipment_changed": lambda tell, d: [_("Equipment changed")],
    "equipment_retired": lambda tell, d: [_("Equipment out of use")],
    "equipment_taken": lambda tell, d: [
        _("%(stage)s: %(taken)s taken")
        % {"stage": tell.stage(d), "taken": _equipment("clamp", sum(t["count"] for t in d["taken"]))}
    ],
    "equipment_freed": lambda tell, d: [_("%(stage)s: clamps free again") % {"stage": tell.stage(d)}],
    "client_forgotten": lambda tell, d: [
        _("Client forgotten"),
        _("%(texts)s texts; %(held)s are held") % {"texts": d["texts"], "held": d["held"]},
    ],
    "client_hold_ended": lambda tell, d: [
        _("Papers of a forgotten client let go"),
        _("%(texts)s texts") % {"texts": d["texts"]},
    ],
    "client_told": lambda tell, d: [_told_client(d), tell.text(d["words"])],
    "client_asked": lambda tell, d: [_("The client asked"), tell.text(d["words"])],
    "question_settled": lambda tell, d: [_("A question of the client settled"), tell.text(d["how"])],
}
"""Each kind of event as a sentence and its details."""
