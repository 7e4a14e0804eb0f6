"""Boards: the rack, one board, and the actions on it. The supplies share the page."""

from functools import partial
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.domain import lookups
from jobs.domain.pieces.at_hand import yield_of
from jobs.domain.stock.boards import add_board
from jobs.domain.stock.queries import board_views, boards_of, supply_views
from jobs.domain.stock.suitability import misfit
from jobs.domain.stock.woods import wood_names
from jobs.models import Board, Commission, Event, Person, Piece, Supply
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.stored_translations import told_choices
from jobs.web.stock.board_forms import (
    VERBS,
    BoardForm,
    BoardVerb,
    ReserveHere,
    VoidMoistureForm,
)

SHOWN = (Board.Step.FREE, Board.Step.RESERVED, Board.Step.USED, Board.Step.WRITTEN_OFF)
MOST_SHOWN = 200


@worker
@require_safe
def stock(request: SignedIn) -> HttpResponse:
    """Show the rack by standing, or the boards of one piece; and the shelf."""
    step, piece = request.GET.get("step", Board.Step.FREE), request.GET.get("piece", "")
    chosen = "" if piece else step if step in SHOWN else Board.Step.FREE
    boards = board_views(boards_of(step=chosen, piece=piece)[:MOST_SHOWN], with_money=request.user.is_owner)
    free = _free_for(piece, request.user) if piece else []
    supplies = supply_views(Supply.objects.filter(discarded_at=None), today=timezone.localdate())
    context = {
        "boards": boards,
        "free": free,
        "board_feet": sum(b["board_feet"] for b in boards),
        "supplies": supplies,
        "steps": told_choices((s.value, s.label) for s in SHOWN),
        "chosen": chosen,
        "piece": piece,
        "found": _yield(piece) if piece else None,
    }
    return render(request, "web/stock/stock.html", context)


@worker
@require_http_methods(["GET", "POST"])
def add(request: SignedIn) -> HttpResponse:
    says = _("Board %(number)s: chalk the number on it.")
    return command_page(
        request, BoardForm(request.POST or None, person=request.user),
        partial(add_board, units=units_of(request.user)),
        lambda first: (says % {"number": first.data["board"]}, "web:board", first.data["board"]),
        "web/stock/board_new.html",
    )  # fmt: skip


@worker
@require_safe
def board(request: SignedIn, number: int) -> HttpResponse:
    return _page(request, number)


@worker
@require_POST
def board_verb(request: SignedIn, number: int, verb: str) -> HttpResponse:
    """Run one of the forms on the page of a board."""
    if verb not in VERBS:
        raise Http404
    form = VERBS[verb](request.POST, person=request.user, board=lookups.board(number))
    says = _("%(says)s: saved.") % {"says": form.says}

    def done(first: Event) -> tuple[object, ...]:
        if "form_list" in request.POST:
            return says, f"{reverse('web:stock')}?{urlencode({'piece': request.POST['piece']})}"
        return says, "web:board", first.data["board"]

    return carried_out(
        request, form, lambda call, **asked: form.act(call, number, asked, request.user), done,
        lambda: _page(request, number, form),
    )  # fmt: skip


def _page(request: SignedIn, number: int, refused: BoardVerb | None = None) -> HttpResponse:
    found = lookups.board(number)
    forms = [
        refused
        if refused is not None and refused.verb == verb
        else form(person=request.user, board=found, seen=found.version)
        for verb, form in VERBS.items()
        if found.step in form.standing
    ]
    context = {
        "board": board_views([found], with_money=request.user.is_owner)[0],
        "cuts": list(boards_of().filter(cut_from=number).values_list("number", flat=True)),
        "forms": forms,
        "stream": f"board:{number}",
        "called": _("Board %(number)s, %(species)s") % {"number": number, "species": found.species},
        "take_back": VoidMoistureForm(person=request.user, board=found, seen=found.version),
        "species_names": wood_names() if found.step == Board.Step.FREE else [],
        "refused": refused,
    }
    status = refused.status if refused is not None else 200
    return render(request, "web/stock/board.html", context, status=status)


def _yield(number: str) -> dict[str, Any] | None:
    """Return what the boards of a piece give; None where it has none or is of an ended commission."""
    found = Piece.objects.filter(number=number).exclude(commission__step__in=Commission.ENDED).first()
    return yield_of(found) if found else None


def _free_for(piece: str, person: Person) -> list[dict[str, Any]]:
    """Return free boards that suit a piece, each with the form that reserves it."""
    found = Piece.objects.filter(number=piece).exclude(commission__step__in=Commission.ENDED).first()
    if found is None:
        return []
    free = boards_of(step=Board.Step.FREE)
    if species := found.inputs.get("species"):
        free = free.filter(species=species)
    suit = [board for board in free.order_by("number") if not misfit(board, found)][:MOST_SHOWN]
    forms = {
        b.number: ReserveHere(person=person, board=b, seen=b.version, initial={"piece": piece}) for b in suit
    }
    views = board_views(suit, with_money=False)
    return [{**view, "form": forms[view["number"]]} for view in views]
