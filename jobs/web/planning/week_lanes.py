"""What a week's waits hold, on one line through the nights: a lane for each place, numbers for a style."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.days import Asked, PlanDays
from jobs.domain.planning.published import PlannedWait
from jobs.web.planning.plan_words import at_words, wait_title
from jobs.web.wait_axis import LOOKS

SPAN_H = 7 * 24
MOST_LINES = 4
"""Lines of one lane; what does not fit is counted."""
LETTER_H = 1.12
"""Hours that a letter of a label takes up on a laptop."""
EDGE_H = 6.0
"""How far a bar may stick out of the week."""
LANES = {
    "clamps": gettext_lazy("Clamps"),
    "finishing room": gettext_lazy("Finishing room"),
    "": gettext_lazy("Resting"),
    "rack": gettext_lazy("Rack"),
}
"""The places of planned waits, in the order of the lanes."""


@dataclass
class Lane:
    """Bars of one lane; ``ends`` says up to which hour each of its lines is taken."""

    bars: list[dict[str, Any]] = field(default_factory=list)
    ends: list[float] = field(default_factory=list)
    left: int = 0

    def put(self, a: float, b: float, bar: dict[str, Any], label: str) -> None:
        """Lay a bar on the first line with room for it, its label after it, else before it, else on it."""
        wide = LETTER_H * len(label) + 2
        after, before = b + wide <= SPAN_H, a - wide >= 0
        at = b + 1 if after else a - wide if before else max(1.0, min(a + 1, SPAN_H - wide))
        begins, until = (a if after or not before else at), max(b, at + wide)
        line = next((n for n, end in enumerate(self.ends) if end <= begins), len(self.ends))
        if line >= MOST_LINES:
            self.left += 1
            return
        self.ends[line:] = [until, *self.ends[line + 1 :]]
        boxed = not after and not before
        self.bars.append({**bar, "line": line, "label": label, "at": _number(at), "boxed": boxed})


def lanes(view: PlanDays) -> dict[str, Any]:
    """Return the lanes of a week, the nights, the shut days and now as positions in hours."""
    rows = [_of_place(view, place, str(title)) for place, title in LANES.items()]
    rows.append(_of_clients(view))
    now = hour_of(view.now, view.first)
    return {
        "span": SPAN_H,
        "now": _number(now) if 0 <= now <= SPAN_H else "",
        "ticks": [24 * n for n in range(1, 7)],
        "shut": [24 * n for n, day in enumerate(view.days) if _is_shut(view, day)],
        "rows": [row for row in rows if row["bars"]],
    }


def hour_of(moment: datetime, first: date) -> float:
    """Return where a moment lies from the first midnight [h], by the shop's clock."""
    local = timezone.localtime(moment)
    return (local.date() - first).days * 24 + local.hour + local.minute / 60


def _is_shut(view: PlanDays, day: date) -> bool:
    return view.has_hours and not any(view.open_min.get((one.id, day)) for one in view.people)


def _of_place(view: PlanDays, place: str, title: str) -> dict[str, Any]:
    lane, found = Lane(), [one for one in view.waits if (one.place if one.place in LANES else "") == place]
    for one in sorted(_told_once(found), key=lambda w: (w.begins, w.piece, w.kind)):
        a, b = (hour_of(at, view.first) for at in (one.begins, one.ends))
        lane.put(
            *_cut(a, max(b, hour_of(one.closes or one.ends, view.first))),
            _bar(view, one, a, b),
            _label(view, one),
        )
    return _lane_row(title, lane, _under(found, view))


def _told_once(found: Iterable[PlannedWait]) -> list[PlannedWait]:
    """Return the waits with one of each kind at a stage: the last to end tells for the others."""
    return list({(one.piece, one.stage, one.kind): one for one in found}.values())


def _cut(a: float, b: float) -> tuple[float, float]:
    return max(-EDGE_H, a), min(SPAN_H + EDGE_H, b)


def _bar(view: PlanDays, one: PlannedWait, a: float, b: float) -> dict[str, Any]:
    """Return a wait's bar, what is set of it, the hatch from likely to cautious, its window."""
    a, b = _cut(a, b)
    likely, now = hour_of(one.likely, view.first), hour_of(view.now, view.first)
    closes = hour_of(one.closes, view.first) if one.closes else None
    return {
        "a": _number(a),
        "b": _number(max(b, a + 0.5)),
        "look": LOOKS.get(one.kind, "stock"),
        "wood": view.names.look(one.piece),
        "set": "100" if LOOKS.get(one.kind, "stock") == "stock" else _number(_share(now, a, b)),
        "maybe": _number(_share(likely, a, b)) if one.likely < one.ends else None,
        "window": {"a": _number(b), "b": _number(min(closes, SPAN_H + EDGE_H))}
        if closes and closes > b
        else None,
        "is_maybe": one.maybe,
    }


def _share(at: float, a: float, b: float) -> float:
    return max(0.0, min(100.0, 100 * (at - a) / (b - a))) if b > a else 100.0


def _label(view: PlanDays, one: PlannedWait) -> str:
    said = {
        "number": short_number(one.piece),
        "what": wait_title(one).lower(),
        "at": at_words(one.ends, view.first),
    }
    if one.closes and one.ends <= view.now < one.closes:
        closes = {**said, "at": at_words(one.closes, view.first)}
        return _("%(number)s %(what)s is over, window closes %(at)s") % closes
    if one.maybe:
        return _("%(number)s maybe: %(what)s until %(at)s") % said
    return _("%(number)s %(what)s until %(at)s") % said


def _under(found: list[PlannedWait], view: PlanDays) -> str:
    pieces = {one.piece for one in found if not one.maybe and one.begins <= view.now < one.ends}
    if not pieces:
        return ""
    return ngettext("%(n)s piece now", "%(n)s pieces now", len(pieces)) % {"n": len(pieces)}


def _of_clients(view: PlanDays) -> dict[str, Any]:
    lane = Lane()
    for one in view.asked:
        a, now = hour_of(one.since, view.first), hour_of(view.now, view.first)
        if a > SPAN_H or now < 0:
            continue
        a, b = _cut(a, max(a + 6, now))
        bar = {
            "a": _number(a),
            "b": _number(b),
            "look": "paper",
            "wood": "",
            "set": "100",
            "maybe": None,
            "window": None,
        }
        lane.put(a, b, {**bar, "is_maybe": False}, _asked_words(one))
    return _lane_row(_("Clients"), lane, _("answers awaited"))


def _asked_words(one: Asked) -> str:
    said = {"number": short_number(one.piece), "day": date_format(timezone.localtime(one.since), "D j M")}
    says = (
        _("%(number)s drawing asked %(day)s")
        if one.what == "drawing"
        else _("%(number)s sample asked %(day)s")
    )
    return says % said


def _lane_row(title: str, lane: Lane, under: str) -> dict[str, Any]:
    more = _("%(n)s more") % {"n": lane.left} if lane.left else ""
    return {
        "title": title,
        "under": ", ".join(one for one in (under, more) if one),
        "lines": max(1, len(lane.ends)),
        "bars": lane.bars,
        "says": [bar["label"] for bar in lane.bars],
    }


def _number(value: float) -> str:
    """Return a number of a style."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
