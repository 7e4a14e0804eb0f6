"""Pieces: a new commission with its first piece, adding, changing, removing; the echo of a length."""

from dataclasses import replace
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from calcs.errors import CalcError
from calcs.units import format_length, parse_length
from jobs import lookups
from jobs.commands.clients import add_client
from jobs.commands.commissions import open_commission
from jobs.commands.pieces import add_piece, change_piece, remove_piece
from jobs.errors import Invalid, ShopError, Stale
from jobs.log import Done
from jobs.models import Client
from jobs.models.bases import row_key
from jobs.private import read
from jobs.queries.commissions import client_views
from jobs.web.access import worker
from jobs.web.answers import done_to
from jobs.web.calls import units_of
from jobs.web.forms import PageForm, choice_field, date_field, sentence, text_field
from jobs.web.piece_form import PieceForm, typed_of

PERSONAL = ("name", "email", "phone", "address")
COMMISSION = ("title", "promise_on", "notes")


class NewCommissionForm(PieceForm):
    """Who orders, what, for when, and the first piece: one form, one transaction.

    What was seen is the newest version among the clients to choose from.
    """

    def __init__(self, data: Any = None, **more: Any) -> None:
        known = sorted(client_views(list(Client.objects.all())), key=lambda c: c["name"].casefold())
        self.newest = max((c["version"] for c in known), default=0)
        super().__init__(data, seen=self.newest, **more)
        self.fields["client"] = choice_field(
            "Client", [("", "A new client"), *((str(c["id"]), c["name"]) for c in known)]
        )
        self.fields["name"] = text_field("Name", autocomplete="off")
        self.fields["email"] = text_field("E-mail", inputmode="email", autocomplete="off")
        self.fields["phone"] = text_field("Telephone", inputmode="tel", autocomplete="off")
        self.fields["address"] = text_field("Address", lines=3, autocomplete="off")
        self.fields["title"] = text_field("Title", help_text="What everybody here will call it")
        self.fields["promise_on"] = date_field(
            "Promised for", help_text="Leave empty while nothing is promised."
        )
        self.fields["notes"] = text_field("Notes", lines=3)

    def refuse(self, refused: ShopError | CalcError) -> None:
        super().refuse(refused)
        if isinstance(refused, Stale):
            self.renew("form_seen", str(self.newest))


@worker
@require_http_methods(["GET", "POST"])
def new_commission(request: HttpRequest) -> HttpResponse:
    initial = {"client": request.GET.get("client", "")}
    form = NewCommissionForm(request.POST or None, person=request.user, initial=initial)
    if request.method == "POST":
        done = form.carry_out(lambda asked: _open(request, form, asked))
        if done:
            number = done.events[0].data["number"]
            return done_to(request, done, f"Commission {number} is open.", "web:commission", number)
    return render(request, "web/commission_new.html", {"form": form}, status=form.status)


@transaction.atomic
def _open(request: HttpRequest, form: NewCommissionForm, asked: dict[str, Any]) -> Done:
    """A client, a commission and a piece, or nothing at all."""
    client = _client(request, form, asked)
    call = form.call(request, part="commission")
    opened = open_commission(
        replace(call, seen=_seen(client, call.seen) if asked["client"] else None),
        client=client,
        **{name: asked[name] for name in COMMISSION},
    )
    if form.wants_piece(asked):
        add_piece(
            replace(form.call(request, part="piece"), seen=None),
            commission=opened.events[0].data["number"],
            units=units_of(request.user),
            asked=form.piece_asked(asked),
        )
    return opened


def _seen(client: int, newest: int | None) -> int | None:
    """The client's version where it was among those shown, else the newest that was, which is older."""
    found = Client.objects.filter(id=client).first()
    return min(found.version, newest) if found and newest is not None else None


def _client(request: HttpRequest, form: NewCommissionForm, asked: dict[str, Any]) -> int:
    if asked["client"]:
        if any(asked[name] for name in PERSONAL):
            raise Invalid(
                "choose a client or write a new one, not both", field="client", allowed="one of the two"
            )
        return int(asked["client"]) if asked["client"].isdecimal() and len(asked["client"]) < 19 else 0
    done = add_client(form.call(request, part="client"), **{name: asked[name] for name in PERSONAL})
    return row_key(done.events[0].seq)


@worker
@require_http_methods(["GET", "POST"])
def add(request: HttpRequest, number: str) -> HttpResponse:
    found = lookups.commission(number)
    form = PieceForm(request.POST or None, person=request.user, seen=found.version)
    if request.method == "POST":
        done = form.carry_out(
            lambda asked: add_piece(
                form.call(request),
                commission=number,
                units=units_of(request.user),
                asked=form.piece_asked(asked),
            )
        )
        if done:
            piece = done.events[0].data["piece"]
            return done_to(request, done, f"Piece {piece} is added and computed.", "web:commission", number)
    return render(request, "web/piece_add.html", {"form": form, "number": number}, status=form.status)


@worker
@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, number: str) -> HttpResponse:
    """Only what differs from what the form showed is sent on: a length shown rounded stays as it was.

    What was emptied goes back to its default, or is refused where the piece needs it.
    """
    piece = lookups.piece(number)
    before = typed_of(piece, request.user)
    form = PieceForm(request.POST or None, person=request.user, seen=piece.version, initial=before)
    if request.method == "POST":
        done = form.carry_out(
            lambda asked: change_piece(
                form.call(request), piece=number, units=units_of(request.user), asked=_changed(asked, before)
            )
        )
        if done:
            commission = piece.commission.number
            return done_to(request, done, f"Piece {number} is computed again.", "web:commission", commission)
    context = {
        "form": form,
        "number": number,
        "label": before["label"],
        "commission": piece.commission.number,
    }
    return render(request, "web/piece_change.html", context, status=form.status)


def _changed(asked: dict[str, Any], before: dict[str, str]) -> dict[str, Any]:
    now = {name: value.replace("\r\n", "\n").strip() for name, value in asked.items()}
    now["finish_under"] = now["finish_under"] or now["finish_face"]
    then = {**before, "finish_under": before["finish_under"] or before["finish_face"]}
    return {name: value for name, value in now.items() if value != then[name].strip()}


@worker
@require_http_methods(["GET", "POST"])
def remove(request: HttpRequest, number: str) -> HttpResponse:
    piece = lookups.piece(number)
    form = PageForm(request.POST or None, seen=piece.version)
    commission = piece.commission.number
    if request.method == "POST":
        done = form.carry_out(lambda _: remove_piece(form.call(request), piece=number))
        if done:
            return done_to(request, done, f"Piece {number} is removed.", "web:commission", commission)
    context = {"form": form, "number": number, "label": read(piece.label_ref), "commission": commission}
    return render(request, "web/piece_remove.html", context, status=form.status)


@worker
@require_GET
def length(request: HttpRequest) -> HttpResponse:
    """How a length is read: in both units, or why it cannot be."""
    text = next(iter(request.GET.values()), "")
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
    return render(request, "web/parts/echo.html", context)
