"""Pieces: add, change, remove; show a length as parsed."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from calcs.kit.errors import CalcError
from calcs.kit.length_reading import parse_length
from calcs.kit.units import format_length
from jobs.domain import lookups
from jobs.domain.commissions.piece_commands import add_piece, change_piece, remove_piece
from jobs.domain.overviews.piece import piece_view
from jobs.domain.papers.letterhead import currency_of
from jobs.domain.pieces.at_hand import yield_of
from jobs.domain.pieces.extra_inputs import RESERVED_BOARDS
from jobs.domain.waits.queries import read_routes
from jobs.log.private_texts import read
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, sentence
from jobs.web.pieces.figures import calculations
from jobs.web.pieces.piece_form import PieceForm, typed_of, way_in_of


@worker
@require_http_methods(["GET", "POST"])
def add(request: SignedIn, number: str) -> HttpResponse:
    found, units = lookups.commission(number), units_of(request.user)
    way = way_in_of(found)
    form = PieceForm(request.POST or None, person=request.user, seen=found.version, initial=way)
    return command_page(
        request, form,
        lambda call, **asked: add_piece(call, commission=number, units=units, asked=form.piece_asked(asked)),
        lambda first: (_("Piece %(piece)s is added and computed.") % first.data, "web:commission", number),
        "web/pieces/piece_add.html", lambda: {"number": number},
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, number: str) -> HttpResponse:
    """Send only the fields that differ from the form, so that a rounded length is not changed.

    An emptied field returns to its default, or is refused where the piece needs it.
    """
    piece, units = lookups.piece(number), units_of(request.user)
    before, commission = typed_of(piece, request.user), piece.commission.number
    return command_page(
        request, PieceForm(request.POST or None, person=request.user, seen=piece.version, initial=before),
        lambda call, **asked: change_piece(call, piece=number, units=units, asked=_changed(asked, before)),
        (
            _("Piece %(number)s is computed again.") % {"number": number},
            "web:commission-piece", commission, number,
        ),
        "web/pieces/piece_change.html",
        lambda: {"number": number, "label": before["label"], "commission": commission},
    )  # fmt: skip


def _changed(asked: dict[str, Any], before: dict[str, str]) -> dict[str, Any]:
    now = {name: value.replace("\r\n", "\n").strip() for name, value in asked.items()}
    now["finish_under"] = now["finish_under"] or now["finish_face"]
    then = {**before, "finish_under": before["finish_under"] or before["finish_face"]}
    return {name: value for name, value in now.items() if value != then[name].strip()}


@worker
@require_safe
def figures(request: SignedIn, number: str) -> HttpResponse:
    """Show every calculation of a piece folded, or the one that ``of`` names."""
    piece, units, is_owner = lookups.piece(number), units_of(request.user), request.user.is_owner
    laid = read_routes([piece])
    view = piece_view(laid.routes[0], laid.texts, now=timezone.now(), with_money=is_owner)
    currency = currency_of(piece.commission) if is_owner else ""
    found = [c for c in calculations(view, units=units, currency=currency) if not c["missing"]]
    one = [c for c in found if c["key"] == request.GET.get("of")]
    context = {"piece": view, "commission": piece.commission.number, "calculations": one or found, "one": one}
    return render(request, "web/pieces/figures.html", context)


@worker
@require_http_methods(["GET", "POST"])
def lay_out(request: SignedIn, number: str) -> HttpResponse:
    """Lay the strips of a piece out from the boards that are reserved for it."""
    piece, units = lookups.piece(number), units_of(request.user)
    asked = {"strips_from": RESERVED_BOARDS}
    return command_page(
        request, PageForm(request.POST or None, seen=piece.version),
        partial(change_piece, piece=number, units=units, asked=asked),
        (_("Piece %(number)s is computed again.") % {"number": number}, "web:commission-piece",
         piece.commission.number, number),
        "web/pieces/lay_out.html", lambda: {"number": number, "found": yield_of(piece)},
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def remove(request: SignedIn, number: str) -> HttpResponse:
    piece = lookups.piece(number)
    commission = piece.commission.number
    return command_page(
        request, PageForm(request.POST or None, seen=piece.version), partial(remove_piece, piece=number),
        (_("Piece %(number)s is removed.") % {"number": number}, "web:commission", commission),
        "web/pieces/piece_remove.html",
        lambda: {"number": number, "label": read(piece.label_ref), "commission": commission},
    )  # fmt: skip


@worker
@require_safe
def length(request: SignedIn) -> HttpResponse:
    """Show a length as parsed, in both units, or why it cannot be parsed."""
    text = str(next(iter(request.GET.values()), ""))
    unit = request.user.unit
    context: dict[str, Any] = {}
    if text.strip():
        try:
            units = parse_length(text, unit=unit).units
            context = {
                "read": [format_length(units, unit), format_length(units, "mm" if unit == "in" else "in")]
            }
        except CalcError as refused:
            context = {"refused": sentence(refused)}
    return render(request, "web/pieces/parts/echo.html", context)
