"""When a commission is expected by the plan, in words: its range, what holds it up, what would help."""

from datetime import date
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.domain.planning.problem.places import CLAMPS
from jobs.domain.planning.published import CLIENT, PERSON, PLACE, STAGE, WAIT, Finish
from jobs.domain.promising.helps import CLAMPS as RENT
from jobs.domain.promising.helps import EVENINGS, FIRST, SATURDAY
from jobs.domain.promising.risks import NOTHING
from jobs.models import PromiseRisk
from jobs.web.kit.formatting import plain_day_words

Words = dict[str, Any]
WOULD_HELP = {
    EVENINGS: gettext_lazy("What would help: work the evenings that may be worked."),
    SATURDAY: gettext_lazy("What would help: work the next Saturday mornings, %(about)s in all."),
    RENT: gettext_lazy("What would help: rent %(about)s clamps."),
    FIRST: gettext_lazy("What would help: put it before all others."),
    NOTHING.rstrip(":"): gettext_lazy("Nothing small helps. Agree on another day with the client."),
}
"""What to do about a promise at risk, by the kind of change that helps."""


def expected_words(finish: Finish, risk: PromiseRisk | None, stages: dict[str, str], today: date) -> Words:
    """Return when a commission is expected, its range and its days in hand; ``stages`` are titles by name."""
    first, last = finish.in_half or finish.ready_on, finish.in_nineteen_of_twenty
    return {
        "day": finish.expected_on,
        "says": _says(finish, today),
        "range": _range(finish, today),
        "in_hand": _in_hand(finish),
        "bar": _bar(first, last, finish.promised, today),
        "held_by": held_words(finish.held_by, stages),
        "risk": _risk(risk, today) if risk else None,
        "what_if": reverse("web:what-if") + f"?first={finish.commission}",
    }


def _says(finish: Finish, today: date) -> str:
    """Return the expected day with the days in hand in a few words."""
    expected = _("expected %(day)s") % {"day": plain_day_words(finish.expected_on, today)}
    return ", ".join(filter(None, (expected, _in_hand(finish))))


def _range(finish: Finish, today: date) -> str:
    """Return what the expected day means, and the days between which it is ready in most cases."""
    half, sure = finish.in_half, finish.in_nineteen_of_twenty
    if half is None or finish.in_eight_of_ten is None or sure is None:
        return ""
    said = {"half": plain_day_words(half, today), "sure": plain_day_words(sure, today)}
    return _("Ready by then 8 times in 10; 1 time in 2 by %(half)s, 19 times in 20 by %(sure)s.") % said


def _in_hand(finish: Finish) -> str:
    """Return the days from the 8 in 10 day to the promise; how many are missing where it is passed."""
    if finish.promised is None:
        return ""
    days = (finish.promised - finish.expected_on).days
    if days < 0:
        return ngettext("%(days)s day late", "%(days)s days late", -days) % {"days": -days}
    return ngettext("%(days)s day in hand", "%(days)s days in hand", days) % {"days": days}


def _bar(first: date, last: date | None, promised: date | None, today: date) -> Words | None:
    """Return the range and the promise in days from today, on one scale."""
    if last is None or first < today:
        return None
    ends = [(day - today).days for day in (last, promised or last)]
    return {
        "a": (first - today).days,
        "b": (last - today).days + 1,
        "promised": (promised - today).days if promised and promised >= today else None,
        "span": max(*ends, 1) * 1.06,
    }


def held_words(held: tuple[str, str], stages: dict[str, str]) -> str:
    """Return what keeps a commission longest; empty where nothing stands out."""
    kind, name = held
    words = {
        STAGE: stages.get(name, ""),
        WAIT: name,
        PERSON: _("free hands"),
        CLAMPS: _("free clamps"),
        PLACE: _("a free place: %(place)s") % {"place": name},
        CLIENT: _("an answer of the client"),
    }
    return str(words.get(kind, ""))


def _risk(risk: PromiseRisk, today: date) -> Words:
    kind, _colon, about = risk.helps.partition(":")
    since = timezone.localdate(risk.at_risk_since) if risk.at_risk_since else today
    helps = WOULD_HELP.get(kind)
    return {
        "since": plain_day_words(since, today),
        "day": plain_day_words(risk.in_eight_of_ten, today),
        "helps": str(helps) % {"about": about} if helps else _("What would help is being worked out."),
    }
