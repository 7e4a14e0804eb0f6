"""The sections of a commission: work, piece, money, history; its client's is in the room of clients."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.overviews.commission import commission_view
from jobs.domain.planning.publishing import current
from jobs.domain.quoting.quoted_hours import quoted_against_actual
from jobs.domain.stock.product_sheets import products
from jobs.domain.stock.queries import boards_of
from jobs.models import Commission, Event, PromiseRisk
from jobs.web.commissions.expected import expected_words
from jobs.web.commissions.history import MILESTONES, by_day, event_rows, names_of_people
from jobs.web.commissions.shown import section, slim_section, state_of
from jobs.web.commissions.watch import to_watch
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.pagination import page_of
from jobs.web.pieces.figures import calculations, changes, drawn_on_page
from jobs.web.pieces.tiles import tiles
from jobs.web.wait_axis import wait_axis

EVENTS_SHOWN = 15
Words = dict[str, Any]


@worker
@require_safe
def work(request: SignedIn, number: str) -> HttpResponse:
    """Show the way of each piece, its waits, what to solve first and its figures."""
    now, units = timezone.now(), units_of(request.user)
    found = lookups.commission(number)
    context = section(found, request.user, now, "work")
    for piece in context["commission"]["pieces"]:
        piece["tiles"] = tiles(piece, units)
        made = calculations(piece, units=units, currency=_currency(context))
        piece["heed"] = [c for c in made if c.get("warnings") or c.get("refused")]
    cards = [
        {"wait": wait, "piece": piece["number"], "label": piece["label"]}
        for piece in context["commission"]["pieces"]
        for wait in piece["waits"]
    ]
    context["axis"] = wait_axis(cards, now) if cards else None
    if plan := _planned(context["commission"], _risk(found), now):
        context |= {"plan": plan, "days": None}
        context["commission"]["expected"] = plan["says"]
    context["commission"]["watch"] = to_watch(context["commission"], context["told_at"], now)
    return render(request, "web/commissions/commission.html", context)


def _risk(found: Commission) -> PromiseRisk | None:
    """Return how a promise is at risk, as it was read with its commission; None where it is not."""
    risk: PromiseRisk | None = getattr(found, "risk", None)
    return risk if risk and risk.at_risk_since else None


def _planned(commission: Words, risk: PromiseRisk | None, now: datetime) -> Words | None:
    """Return when a commission is expected by the plan, in words; None where the plan has none of it."""
    plan, number = current(), commission["number"]
    finish = next((one for one in plan.finishes if one.commission == number), None) if plan else None
    if finish is None:
        return None
    stages = {
        f"{piece['number']}/{stage['key']}": stage["title"]
        for piece in commission["pieces"]
        for stage in piece["stages"]
    }
    return expected_words(finish, risk, stages, timezone.localtime(now).date())


@worker
@require_safe
def now(request: SignedIn, number: str) -> HttpResponse:
    """Answer a poll: ask the browser to reload the page only where the commission has changed."""
    found, is_owner = lookups.commission(number), request.user.is_owner
    view = commission_view(found, now=timezone.now(), with_money=is_owner, with_ready=False)
    answer = HttpResponse(status=204)
    if request.GET.get("state") != state_of(view):
        answer["HX-Refresh"] = "true"
    return answer


@worker
@require_safe
def piece(request: SignedIn, number: str, piece: str = "") -> HttpResponse:
    """Show one piece of a commission: drawing, facts, calculations, boards, pictures."""
    units = units_of(request.user)
    context = section(lookups.commission(number), request.user, timezone.now(), "piece")
    pieces = context["commission"]["pieces"]
    known = {one["number"]: one for one in pieces}
    if piece and piece not in known:
        raise NotFound(f"commission {number} has no such piece", field="piece", value=piece[:40])
    shown = known[piece] if piece else next(iter(pieces), None)
    if shown:
        shown["drawings"] = drawn_on_page(shown, units, ("client",))
        shown["calculations"] = calculations(shown, units=units, currency=_currency(context))
        shown["changes"] = changes(shown, units)
        shown["boards"] = boards_of(piece=shown["number"])
        sheets = {key: p.sheet.name for kind in products().values() for key, p in kind.items()}
        shown["product_names"] = sheets
    return render(request, "web/commissions/piece.html", {**context, "piece": shown})


def _currency(context: Words) -> str:
    money = context["commission"].get("money")
    return money["currency"] if money else ""


@owner
@require_safe
def money(request: SignedIn, number: str) -> HttpResponse:
    """Show price, offers, papers and payments of a commission."""
    context = section(lookups.commission(number), request.user, timezone.now(), "money")
    voided = [p for p in context["commission"]["money"]["payments"] if p["voided_by"]]
    names = names_of_people() if voided else {}
    for payment in voided:
        payment["voided_name"] = names.get(payment["voided_by"], "")
    context["shares"] = _shares(context["commission"]["money"])
    return render(request, "web/commissions/money.html", context)


def _shares(money: Words) -> Words | None:
    """Return what of the price is paid and what is asked and open [%]; None without a price."""
    sums = money["summary"]
    total = sums["agreed"]
    if not total or total <= 0:
        return None
    paid = min(100, max(0, round(100 * sums["paid"] / total)))
    owed = round(100 * sums["open"] / total)
    return {"paid": paid, "owed": min(owed, 100 - paid)}


@worker
@require_safe
def history(request: SignedIn, number: str) -> HttpResponse:
    """Show what happened on a commission by day, its notes and its hours."""
    found, is_owner = lookups.commission(number), request.user.is_owner
    context = slim_section(found, request.user, "history")
    events = Event.objects.filter(stream=f"commission:{number}").order_by("-seq")
    if not (whole := "all" in request.GET):
        events = events.filter(kind__in=MILESTONES)
    page = page_of(request, events, EVENTS_SHOWN)
    told = event_rows(
        page.object_list, units=units_of(request.user), with_money=is_owner, names=names_of_people()
    )
    context |= {"happened": by_day(told), "page": page, "whole": whole}
    context["hours"] = quoted_against_actual(found) if is_owner else None
    return render(request, "web/commissions/history.html", context)
