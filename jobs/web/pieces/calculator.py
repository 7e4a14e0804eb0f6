"""The calculator: every calculation as a form that answers while it is typed into."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from calcs.asking.answers import Answer
from calcs.asking.field_types import Habit
from calcs.catalogue import CALCULATIONS, Calculation, run
from jobs.domain import lookups
from jobs.domain.pieces.surfaces import face_works
from jobs.domain.settings import settings
from jobs.models import Person, Piece
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.stored_translations import translate_stored
from jobs.web.pieces.calculator_form import CalculatorForm, example_typed, kept_typed
from jobs.web.pieces.figures import answer_shown

OWNERS_INPUTS = ("price_per_bf",)
"""Inputs of a piece that a maker's form does not get."""


@worker
@require_safe
def calculator(request: SignedIn) -> HttpResponse:
    listed = [
        {"name": one.name, "title": translate_stored(one.title), "question": one.question}
        for one in CALCULATIONS.values()
        if request.user.is_owner or not one.money
    ]
    return render(request, "web/pieces/calculator.html", {"calculations": listed})


@worker
@require_http_methods(["GET", "POST"])
def calculation(request: SignedIn, name: str) -> HttpResponse:
    """Show a calculation with an example or a piece's inputs, and its answer; write nothing."""
    one = _allowed(request, name)
    piece = lookups.piece(request.GET["piece"]) if "piece" in request.GET else None
    if request.method == "POST":
        form = CalculatorForm(request.POST, calculation=one, person=request.user)
    else:
        typed = example_typed(one, request.user)
        if piece is not None and "inputs" in piece.computed.get(name, {}):
            typed = _of_piece(one, piece, request.user)
        form = CalculatorForm({**typed, "form_key": ""}, calculation=one, person=request.user)
    answer = form.carry_out(lambda _: run(name, form.given(), _habit(request.user)))
    context = {
        "calculation": one,
        "title": translate_stored(one.title),
        "form": form,
        "piece": piece,
        "answer": None if answer is None else _shown(answer, request.user),
        "drawing": mark_safe(answer.drawing) if answer and answer.drawing else "",
    }
    if request.htmx:  # a refusal while typing is an answer too
        return render(request, "web/pieces/parts/answer_typed.html", context)
    return render(request, "web/pieces/calculation.html", context, status=form.status)


def _allowed(request: SignedIn, name: str) -> Calculation:
    if name not in CALCULATIONS:
        raise Http404
    one = CALCULATIONS[name]
    if one.money and not request.user.is_owner:
        raise PermissionDenied(_("This page is for the owner of the shop."))
    return one


def _of_piece(one: Calculation, piece: Piece, person: Person) -> dict[str, str]:
    kept = piece.computed[one.name]["inputs"]
    if one.name == "flips":  # the result record keeps only the names of the works
        kept = {**kept, "works": face_works(piece.inputs)}
    typed = kept_typed(one, kept, person)
    return {n: v for n, v in typed.items() if person.is_owner or n not in OWNERS_INPUTS}


def _habit(person: Person) -> Habit:
    return Habit(length=person.unit, temperature=person.temperature_unit)


def _shown(answer: Answer, person: Person) -> dict[str, Any]:
    currency = settings()["currency"] if person.is_owner else ""
    return answer_shown(answer, units=units_of(person), currency=currency or "")
