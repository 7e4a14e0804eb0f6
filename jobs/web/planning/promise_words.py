"""What the plan says of a promise, in words: odds, what holds it up, whether a day can be kept."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.domain.lookups import short_number
from jobs.domain.planning.problem.changes import NEW
from jobs.domain.promising.cannot import ALONE, BESIDE_OTHERS, CannotBeKept
from jobs.domain.promising.helps import CLAMPS, EVENINGS, FIRST, SATURDAY, Help
from jobs.domain.promising.holding import Holding
from jobs.domain.promising.odds import Odds
from jobs.domain.promising.promise import Answer
from jobs.domain.settings import settings
from jobs.web.kit.formatting import plain_day_words

Words = dict[str, Any]
ODDS = (
    ("in_half", gettext_lazy("1 time in 2. Only if they can wait.")),
    ("in_eight_of_ten", gettext_lazy("8 times in 10. What you usually promise.")),
    ("in_nineteen_of_twenty", gettext_lazy("19 times in 20. For a wedding, an opening.")),
)
USUAL = "in_eight_of_ten"
HELPS = {
    EVENINGS: gettext_lazy("Work the evenings that may be worked, and it is kept."),
    SATURDAY: gettext_lazy("Work the next Saturday mornings, %(about)s in all, and it is kept."),
    CLAMPS: gettext_lazy("Rent %(about)s clamps, and it is kept."),
    FIRST: gettext_lazy("Put it before all others, and it is kept."),
}
"""What to do, by the kind of change that helps."""
ROOM_DAYS = 7
"""Days that the curve leaves free at its end."""


def shown_answer(answer: Answer, titles: Mapping[str, str], today: date, *, may_promise: bool) -> Words:
    """Return what the plan says of a promise, as the page shows it."""
    odds, margin = answer.odds, int(settings()["promise_margin_days"])
    three = [
        {
            "day": answer.proposed if name == USUAL else getattr(odds, name),
            "at": (getattr(odds, name) - today).days,
            "says": says,
            "usual": name == USUAL,
        }
        for name, says in ODDS
    ]
    go = may_promise and answer.commission != NEW
    return {
        "commission": "" if answer.commission == NEW else answer.commission,
        "title": titles.get(answer.commission) or _("A piece like it"),
        "three": three,
        "curve": _curve(odds, today),
        "margin": _margin(odds, answer.proposed, margin, today),
        "verdict": _verdict(answer, titles, today),
        "holds": _holds(answer.holding, titles, today),
        "go": _("Promise this day") if go else "",
        "how": _how(answer),
    }


def _how(answer: Answer) -> list[str]:
    hours = f"{answer.hours:.0f}"
    runs = sum(answer.odds.runs.values())
    if answer.unsized:
        usual = _("%(pieces)s: no sizes yet, so the usual times of such work are taken.")
        return [usual % {"pieces": ", ".join(answer.unsized)}, *_lived(hours, runs)]
    return _lived(hours, runs)


def _lived(hours: str, runs: int) -> list[str]:
    says = _(
        "%(hours)s h of work, put into the plan after all that is promised. The plan was lived through"
        " %(runs)s times, with longer and shorter work, slower cures and lost half-days."
    )
    return [says % {"hours": hours, "runs": runs}]


def _margin(odds: Odds, proposed: date, days: int, today: date) -> str:
    if not days:
        return ""
    says = ngettext(
        "The middle day has %(days)s working day of margin on top of %(day)s.",
        "The middle day has %(days)s working days of margin on top of %(day)s.",
        days,
    )
    return says % {"days": days, "day": plain_day_words(odds.in_eight_of_ten, today)}


def _curve(odds: Odds, today: date) -> Words:
    """Return the runs by day as heaps on a scale of days, with the months that begin on it."""
    last = max(*odds.runs, odds.in_nineteen_of_twenty)
    span = (last - today).days + ROOM_DAYS
    width = max(1, span // 60)
    heaps: dict[int, int] = {}
    for day, count in odds.runs.items():
        at = (day - today).days // width
        heaps[at] = heaps.get(at, 0) + count
    most = max(heaps.values())
    return {
        "span": span,
        "heaps": [
            {"a": at * width, "b": (at + 1) * width, "h": round(n / most, 2)} for at, n in heaps.items()
        ],
        "months": _months(today, today + timedelta(days=span - span // 12)),
    }


def _months(first: date, last: date) -> list[Words]:
    found, day = [], date(first.year, first.month, 1)
    while day <= last:
        if day >= first:
            found.append({"a": (day - first).days, "says": date_format(day, "M")})
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return found


def _verdict(answer: Answer, titles: Mapping[str, str], today: date) -> list[str]:
    """Return whether the day they ask for can be kept, with its odds."""
    if answer.day is None or answer.chance is None:
        return []
    day = plain_day_words(answer.day, today)
    if answer.cannot is not None:
        return [*cannot_words(answer.cannot, titles, today), _chance_words(answer.chance, day)]
    return [_chance_words(answer.chance, day)]


def _chance_words(chance: float, day: str) -> str:
    """Return the odds of a day in plain words; never 0 or 10 of 10, which nobody knows."""
    tenths = round(chance * 10)
    if tenths <= 0:
        return _("%(day)s is kept less than 1 time in 20.") % {"day": day}
    if tenths >= 10:
        return _("%(day)s is kept more than 19 times in 20.") % {"day": day}
    says = ngettext(
        "%(day)s is kept %(tenths)s time in 10.", "%(day)s is kept %(tenths)s times in 10.", tenths
    )
    return says % {"day": day, "tenths": tenths}


def cannot_words(cannot: CannotBeKept, titles: Mapping[str, str], today: date) -> list[str]:
    """Return that a day cannot be kept, and what would have to give way; "proved" only where it is."""
    said = {"day": plain_day_words(cannot.day, today), "ready": plain_day_words(cannot.ready_on, today)}
    if cannot.proof == ALONE:
        first = _(
            "%(day)s cannot be kept in the hours that are set, that is proved: work and waits alone take"
            " longer, whatever is put back. The plan has it ready %(ready)s."
        )
    elif cannot.proof == BESIDE_OTHERS:
        first = _(
            "%(day)s cannot be kept while every other promise is, that is proved. The plan has it ready"
            " %(ready)s."
        )
    else:
        first = _("%(day)s is not kept by the best plan found: it is ready %(ready)s.")
    return [first % said, help_words(cannot.help, titles, today)]


def help_words(found: Help | None, titles: Mapping[str, str], today: date) -> str:
    """Return what gives way, or what helps, as something to do."""
    if found is None:
        return _(
            "No evening, no four Saturdays, no rented clamps and no other order keeps it."
            " Agree on another day."
        )
    says = str(HELPS[found.kind]) % {"about": found.about}
    return " ".join([says, *([_moved(found, titles)] if found.moves else [])])


def _moved(found: Help, titles: Mapping[str, str]) -> str:
    names = ", ".join(titles.get(number, number) for number in found.moves)
    return _("Then this promise is not kept: %(names)s.") % {"names": names}


def _holds(holding: Holding, titles: Mapping[str, str], today: date) -> list[Words]:
    found = []
    if holding.clamps_from is not None:
        day = plain_day_words(holding.clamps_from, today)
        free = _("free now") if holding.clamps_from <= today else _("free from %(day)s") % {"day": day}
        found.append({"icon": "clamp", "about": _("Clamps"), "says": free})
    if holding.room:
        each = [
            _("%(number)s until %(day)s")
            % {"number": short_number(number), "day": plain_day_words(day, today)}
            for number, day in holding.room.items()
        ]
        found.append({"icon": "drop", "about": _("Finishing room"), "says": ", ".join(each)})
    if holding.hours_from is not None:
        said = {"hours": f"{holding.hours_left:.0f}", "day": plain_day_words(holding.hours_from, today)}
        says = _("%(hours)s h a week left from %(day)s") % said
        found.append({"icon": "person", "about": _("Hands"), "says": says})
    return found
