"""A commission as its pages show it: its facts, what may be done with it, and the head of every section."""

import hashlib
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Max, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.notes.picture_queries import picture_views, pictures_of_commission
from jobs.domain.overviews.commission import commission_brief, commission_view
from jobs.domain.papers.kinds import kinds_on_pieces, paper_kind
from jobs.domain.quoting.queries import offer_rows
from jobs.models import Commission, Offer, Paper, Person
from jobs.web.commissions.next_action import actions
from jobs.web.commissions.orders import ENDS
from jobs.web.commissions.way import way_of
from jobs.web.kit.calls import units_of
from jobs.web.kit.formatting import day_words
from jobs.web.kit.stored_translations import capital, translate_stored
from jobs.web.papers.papers import may_issue_invoice, shown_papers
from jobs.web.papers.work_papers import issuable_papers

Words = dict[str, Any]
BEFORE_READY = (
    Commission.Step.ENQUIRY,
    Commission.Step.QUOTED,
    Commission.Step.ACCEPTED,
    Commission.Step.IN_SHOP,
)
ASKED = ("asks_for", "budget", "wanted_on", "heard", "pictures")
"""What an enquiry may say; without any of it nothing is shown beside the work."""
ROOM = 1.06
"""The length of the scale of days, as a share of the last day on it."""


def shown(found: Commission, person: Person, now: datetime, *, with_ready: bool) -> Words:
    """Return a commission with its pictures and offers, and what may be done with it now."""
    view = commission_view(
        found, now=now, with_money=person.is_owner, units=units_of(person), with_ready=with_ready
    )
    pictures = picture_views(pictures_of_commission(found.number, person))
    for piece in view["pieces"]:
        piece["pictures"] = [p for p in pictures if p["piece"] == piece["number"]]
        piece["way"] = way_of(piece["stages"])
    resting = [p for p in view["papers"] if p["kind"] in kinds_on_pieces() and not p["what"]]
    held = any(p["standing"] not in ("withdrawn", "credited") for p in resting)
    may_change = view["step"] not in Commission.ENDED and not held
    offers = offer_rows(found, today=timezone.localdate(now)) if person.is_owner else []
    papers = shown_papers(view["papers"])
    quotes = {one["standing"] for one in offers if one["kind"] == Offer.Kind.QUOTE}
    view["pictures"] = pictures
    return {
        **view,
        "open_piece": (piece := _in_hand(view)),
        "stands_at": _stands_at(view["step"], piece),
        "expected": _expected(view["ready"], timezone.localdate(now)) if with_ready else "",
        "stages_done": sum(piece["way"]["done"] for piece in view["pieces"]),
        "stages": sum(len(piece["stages"]) for piece in view["pieces"]),
        "picture": next((p for p in reversed(pictures) if p["piece"]), None),
        "pictures": [p for p in reversed(pictures) if p["piece"]],
        "asked_pictures": [p for p in pictures if not p["piece"]],
        "moves": _moves(view),
        "may_accept": view["step"] in Commission.UNDECIDED and Offer.Step.ISSUED not in quotes,
        "may_take_back": view["step"] == Commission.Step.ACCEPTED and Offer.Step.ACCEPTED not in quotes,
        "papers": papers,
        "work_papers": [paper for paper in papers if paper["kind"] not in Paper.MONEY],
        "may_change": may_change,
        "has_work_ahead": view["step"] in BEFORE_READY,
        "is_over": view["step"] in Commission.ENDED,
        "is_asked": view["step"] in Commission.UNDECIDED and any(view[name] for name in ASKED),
        "minutes": sum(_minutes(piece) for piece in view["pieces"]),
        "offers": offers,
        "may_quote": view["step"] in paper_kind(Paper.QUOTE).steps,
        "may_alter": view["step"] in paper_kind(Paper.CHANGE).steps,
        "may_add": may_change and view["step"] in BEFORE_READY,
        "may_issue_invoice": person.is_owner and may_issue_invoice(view),
        "issuable_papers": issuable_papers(view),
    }


def _in_hand(view: Words) -> Words | None:
    """Return the piece to show first: one that is worked on, else one to go on with, else the first."""
    pieces = view["pieces"]
    begun = [p for p in pieces if any(s["standing"] == "under way" for s in p["stages"])]
    ordered = view["step"] not in Commission.UNDECIDED
    return next(iter([*begun, *(p for p in pieces if ordered and p["next"]), *pieces]), None)


def _minutes(piece: Words) -> int:
    """Return the minutes that hands were on a piece, with what was done again."""
    tries = [one for stage in piece["stages"] for one in (stage, *stage["attempts"])]
    return sum(one["minutes"] or 0 for one in tries)


def _stands_at(step: str, piece: Words | None) -> str:
    """Return where the work stands: the phase of the piece in hand, else the step of the commission."""
    here = piece["way"]["here"] if piece and step == Commission.Step.IN_SHOP else None
    return str(here["title"]) if here else capital(translate_stored(step))


def _expected(ready: Words, today: date) -> str:
    """Return the soonest day with the days in hand, or how late it is and what holds it up."""
    if ready["soonest"] is None:
        return ""
    days, soonest = ready["days_in_hand"], day_words(ready["soonest"], today)
    if days is None:
        return _("soonest %(soonest)s") % {"soonest": soonest}
    told = {"soonest": soonest, "days": abs(days), "held_by": ready["held_by"] or _("work at the bench")}
    if days < 0:
        says = ngettext(
            "soonest %(soonest)s, %(days)s day late; held up by: %(held_by)s",
            "soonest %(soonest)s, %(days)s days late; held up by: %(held_by)s",
            -days,
        )
    else:
        says = ngettext(
            "soonest %(soonest)s, %(days)s day in hand", "soonest %(soonest)s, %(days)s days in hand", days
        )
    return says % told


def section(found: Commission, person: Person, now: datetime, tab: str) -> Words:
    """Return what every section of a commission shows: the commission and its head."""
    view = shown(found, person, now, with_ready=tab == "work")
    done = actions(view, is_owner=person.is_owner)
    return {
        "commission": view,
        "tab": tab,
        "first": next(iter(done), None),
        "others": done[1:],
        "state": state_of(view),
        "hands_at": _hands_at(view["pieces"], now),
        **_said(found),
        "days": _days(view["ready"], timezone.localdate(now)) if "ready" in view else None,
    }


def _hands_at(pieces: list[Words], now: datetime) -> datetime | None:
    """Return when the next wait is over and hands are needed again; None where none runs."""
    ends = [wait["ready_at"] for piece in pieces for wait in piece["waits"]]
    return min((at for at in ends if at and at > now), default=None)


def state_of(view: Words) -> str:
    """Return a short hash that differs as soon as a section would."""
    standing = [view["version"], *[(p["number"], p["standing"]) for p in view["papers"]]]
    for piece in view["pieces"]:
        standing += [(s["key"], s["standing"]) for s in piece["stages"]]
        standing += [(w["id"], w["is_over"], w["is_missed"], w["suspect"]) for w in piece["waits"]]
    return hashlib.sha256(repr(standing).encode("utf-8")).hexdigest()[:16]


def slim_section(found: Commission, person: Person, tab: str) -> Words:
    """Return the head of a section that needs neither routes nor money: the client's, the history."""
    view = commission_brief(found, with_money=person.is_owner)
    pictures = picture_views(pictures_of_commission(found.number, person)) if tab == "client" else []
    return {
        "commission": {
            **view,
            "moves": _moves(view),
            "is_over": view["step"] in Commission.ENDED,
            "stands_at": capital(translate_stored(view["step"])),
            "pictures": [p for p in reversed(pictures) if p["piece"]],
            "asked_pictures": [p for p in pictures if not p["piece"]],
        },
        "tab": tab,
        **_said(found),
    }


def _said(found: Commission) -> Words:
    """Return how many questions are open and when the client last had news, in one query."""
    open_ones = Count("questions", filter=Q(questions__settled_at=None), distinct=True)
    said = Commission.objects.filter(id=found.id).annotate(asked=open_ones, told_at=Max("updates__told_at"))
    return dict(said.values("asked", "told_at").get())


def _moves(view: Words) -> list[str]:
    """Return the moves by hand that end a commission early."""
    return [to for to in view["moves"] if to in ENDS]


def _days(ready: Words, today: date) -> Words | None:
    """Return the days from today to the soonest and to the promised day, on one scale; None without both."""
    if ready["days_in_hand"] is None or ready["promised"] < today:
        return None
    soonest, promised = ((ready[name] - today).days for name in ("soonest", "promised"))
    return {"soonest": soonest, "promised": promised, "span": max(1, soonest, promised) * ROOM}
