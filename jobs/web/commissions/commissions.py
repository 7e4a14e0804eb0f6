"""Commissions: the list, a new one, one with its pieces, changing and moving it."""

import hashlib
from datetime import datetime
from itertools import groupby
from typing import Any

from django import forms
from django.db.models import Case, F, Value, When
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.notes.picture_queries import picture_views, pictures_of_commission
from jobs.domain.overviews.bench import LIVE
from jobs.domain.overviews.commission import commission_rows, commission_view
from jobs.domain.papers.kinds import kinds_on_pieces, paper_kind
from jobs.domain.quoting.queries import offer_rows
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import products
from jobs.log.commands import head_seq
from jobs.log.private_texts import read
from jobs.models import Commission, Event, Offer, Paper, Person
from jobs.web.commissions.history import event_rows, names_of_people
from jobs.web.commissions.next_action import actions
from jobs.web.commissions.orders import ENDS
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import (
    PageForm,
    WholeField,
    date_field,
    number_field,
    text_field,
)
from jobs.web.kit.pagination import page_of
from jobs.web.papers.papers import may_issue_invoice, shown_papers
from jobs.web.papers.work_papers import issuable_papers
from jobs.web.pieces.figures import calculations, changes, drawn_on_page
from jobs.web.stages.wait_progress import drawn

BEFORE_READY = (
    Commission.Step.ENQUIRY,
    Commission.Step.QUOTED,
    Commission.Step.ACCEPTED,
    Commission.Step.IN_SHOP,
)
EVENTS_SHOWN = 12
SHOWN_BEHIND, SHOWN_AHEAD = 1, 5
"""Stages of a route shown before the first that is not done, and after the last that is active."""
OVER = ("done", "skipped")
GROUPS = {
    Commission.Step.ENQUIRY: gettext_lazy("Asked"),
    Commission.Step.QUOTED: gettext_lazy("Quoted"),
    Commission.Step.ACCEPTED: gettext_lazy("To do"),
    Commission.Step.IN_SHOP: gettext_lazy("In the shop"),
    Commission.Step.READY: gettext_lazy("Ready"),
    Commission.Step.DELIVERED: gettext_lazy("Delivered"),
}
"""The groups of the list, in their order: the steps of live commissions."""
RANK = Case(*(When(step=step, then=Value(place)) for place, step in enumerate(GROUPS)))


class CommissionForm(PageForm):
    title = text_field(gettext_lazy("Title"))
    promise_on = date_field(
        gettext_lazy("Promised for"), help_text=gettext_lazy("Leave empty while nothing is promised.")
    )
    asks_for = text_field(gettext_lazy("What they ask for"), lines=3)
    budget = number_field(gettext_lazy("Budget"), autocomplete="off")
    wanted_on = date_field(gettext_lazy("They want it by"))
    heard = text_field(gettext_lazy("Heard of us"))
    tell_days = WholeField(
        label=gettext_lazy("Remind me to tell the client something after"),
        required=False,
        help_text=gettext_lazy("Days; 0: never; empty: as usual in the shop"),
        widget=forms.TextInput({"inputmode": "numeric"}),
    )
    notes = text_field(gettext_lazy("Notes"), lines=4)


@worker
@require_safe
def commissions(request: SignedIn) -> HttpResponse:
    """List live commissions by step, the next promised first; or the ended ones, the newest first."""
    over = request.GET.get("show") == "over"
    found = Commission.objects.select_related("client").filter(step__in=Commission.ENDED if over else LIVE)
    by_promise = (RANK, F("promise_on").asc(nulls_last=True), "number")
    page = page_of(request, found.order_by(*(("-number",) if over else by_promise)))
    rows = commission_rows(list(page.object_list), now=timezone.now(), with_office=request.user.is_owner)
    groups = [
        (GROUPS.get(step, ""), list(of)) for step, of in groupby(rows, lambda r: not over and r["step"])
    ]
    ended = Commission.objects.filter(step__in=Commission.ENDED).count()
    context = {"groups": groups, "page": page, "over": over, "ended": ended, "seq": head_seq()}
    return render(request, "web/commissions/commissions.html", context)


@worker
@require_safe
def commission(request: SignedIn, number: str) -> HttpResponse:
    found, now = lookups.commission(number), timezone.now()
    names = names_of_people()
    view = shown(found, request.user, now, names)
    for piece in view["pieces"]:
        piece["drawing"] = drawn_on_page(piece)
    events = Event.objects.filter(stream=f"commission:{number}").order_by("-seq")
    if "events" not in request.GET:
        events = events[:EVENTS_SHOWN]
    is_owner = request.user.is_owner
    told = event_rows(events, units=units_of(request.user), with_money=is_owner, names=names)
    return render(
        request,
        "web/commissions/commission.html",
        {"commission": view, "events": told, "all_events": "events" in request.GET, **_now(view, is_owner)},
    )


@worker
@require_safe
def commission_now(request: SignedIn, number: str) -> HttpResponse:
    """Answer a poll: ask the browser to reload the page only where the commission has changed."""
    view = shown(lookups.commission(number), request.user, timezone.now(), {})
    answer = HttpResponse(status=204)
    if request.GET.get("state") != _state(view):
        answer["HX-Refresh"] = "true"
    return answer


@worker
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    view = commission_rows([found], now=timezone.now())[0]
    before = {"title": view["title"]}
    before |= {name: read(getattr(found, f"{name}_ref")) for name in ("notes", "asks_for", "heard")}
    before |= {name: getattr(found, name) for name in ("promise_on", "wanted_on", "tell_days", "budget")}
    form = CommissionForm(request.POST or None, initial=before, seen=found.version)
    form.show_unit("budget", found.budget_currency or settings()["currency"])
    if not request.user.is_owner:
        del form.fields["budget"]
    return command_page(
        request, form,
        lambda call, **asked: change_commission(call, commission=number, **_different(asked, before)),
        (_("Saved."), "web:commission", number),
        "web/commissions/commission_change.html", lambda: {"commission": view},
    )  # fmt: skip


def shown(found: Commission, person: Person, now: datetime, names: dict[str, str]) -> dict[str, Any]:
    """Return a commission as its page shows it: names, drawings and figures in this person's units."""
    units = units_of(person)
    view = commission_view(found, now=now, with_money=person.is_owner, units=units)
    product_names = {key: p.sheet.name for kind in products().values() for key, p in kind.items()}
    pictures = picture_views(pictures_of_commission(found.number, person))
    for piece in view["pieces"]:
        piece["pictures"] = [p for p in pictures if p["piece"] == piece["number"]]
        piece["waits"] = [drawn(w, now) for w in piece["waits"]]
        currency = view["money"]["currency"] if person.is_owner else ""
        piece["calculations"] = calculations(piece, units=units, currency=currency)
        piece["changes"] = changes(piece, units)
        piece["product_names"] = product_names
        _lay_path(piece, names)
    for payment in view["money"]["payments"] if person.is_owner else ():
        payment["voided_name"] = names.get(payment["voided_by"], "")
    on_pieces = kinds_on_pieces()
    resting = [p for p in view["papers"] if p["kind"] in on_pieces and not p["what"]]
    held = any(p["standing"] not in ("withdrawn", "credited") for p in resting)
    may_change = view["step"] not in Commission.ENDED and not held
    offers = offer_rows(found, today=timezone.localdate(now)) if person.is_owner else []
    quotes = {one["standing"] for one in offers if one["kind"] == Offer.Kind.QUOTE}
    return {
        **view,
        "asked_pictures": [p for p in pictures if not p["piece"]],
        "moves": [to for to in view["moves"] if to in ENDS],
        "may_accept": view["step"] in Commission.UNDECIDED and Offer.Step.ISSUED not in quotes,
        "may_take_back": view["step"] == Commission.Step.ACCEPTED and Offer.Step.ACCEPTED not in quotes,
        "papers": shown_papers(view["papers"]),
        "may_change": may_change,
        "has_work_ahead": view["step"] in BEFORE_READY,
        "offers": offers,
        "may_quote": view["step"] in paper_kind(Paper.QUOTE).steps,
        "may_alter": view["step"] in paper_kind(Paper.CHANGE).steps,
        "may_add": may_change and view["step"] in BEFORE_READY,
        "may_issue_invoice": person.is_owner and may_issue_invoice(view),
        "issuable_papers": issuable_papers(view),
    }


def _lay_path(piece: dict[str, Any], names: dict[str, str]) -> None:
    """Add to each stage who did it and where the route forks, and add the path of the piece."""
    titles = {s["key"]: s["title"] for s in piece["stages"]}
    above: str | None = None
    for stage in piece["stages"]:
        stage["by"] = names.get(stage["finished_by"] or stage["started_by"], "")
        stage["forks"] = (
            [] if stage["after"] in ([], [above]) else [titles[k] for k in stage["after"] if k in titles]
        )
        above = stage["key"]
    piece["path"] = _folded(piece["stages"])


def _folded(stages: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """Split the stages into those long done, those around now and those far ahead."""
    over = [s["standing"] in OVER for s in stages]
    first = over.index(False) if False in over else len(stages)
    active = [n for n, s in enumerate(stages) if s["standing"] not in (*OVER, "planned")]
    begin = max(0, first - SHOWN_BEHIND)
    end = max([first, *active]) + SHOWN_AHEAD
    return {"done": stages[:begin], "now": stages[begin:end], "later": stages[end:]}


def _now(view: dict[str, Any], is_owner: bool) -> dict[str, Any]:
    found = actions(view, is_owner=is_owner)
    return {"first": next(iter(found), None), "others": found[1:], "state": _state(view)}


def _state(view: dict[str, Any]) -> str:
    """Return a short hash that differs as soon as the page would."""
    standing = [view["version"], *[(p["number"], p["standing"]) for p in view["papers"]]]
    for piece in view["pieces"]:
        standing += [(s["key"], s["standing"]) for s in piece["stages"]]
        standing += [(w["id"], w["standing"]) for w in piece["waits"]]
    return hashlib.sha256(repr(standing).encode("utf-8")).hexdigest()[:16]


def _different(asked: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """Return the changed fields, or all where none changed: the log then records who reviewed them."""
    if "budget" in asked:
        asked["budget"] = to_money(asked["budget"], "budget") if asked["budget"] else None
    return {k: v for k, v in asked.items() if v != before[k]} or asked
