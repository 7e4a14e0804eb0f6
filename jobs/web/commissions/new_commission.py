"""A new commission in one form: client, what they ask for, size and wood of the first piece.

The rest has defaults and is folded.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django.db import transaction
from django.forms import BoundField
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError, Stale
from jobs.core.parsing import to_money
from jobs.domain.checks import at_most
from jobs.domain.clients.commands import add_client
from jobs.domain.commissions.commissions import heard_before, open_commission, title_from
from jobs.domain.commissions.piece_commands import add_piece
from jobs.domain.notes.images import shrunk
from jobs.domain.notes.pictures import pin_picture
from jobs.domain.overviews.commission import client_views
from jobs.domain.pieces.defaults import habits
from jobs.domain.settings import settings
from jobs.log.commands import CommandResult
from jobs.models import Client
from jobs.models.bases import row_key
from jobs.web.commissions.live_figures import live_figures
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import (
    PicturesField,
    TextField,
    choice_field,
    date_field,
    number_field,
    text_field,
)
from jobs.web.kit.stored_translations import Text
from jobs.web.pieces.piece_form import SIZE, PieceForm

PERSONAL = ("name", "email", "phone", "address")
ENQUIRED = ("budget", "wanted_on", "heard", "pictures")
COMMISSION = ("title", "promise_on", "notes")
NEW = "new"
"""The choice of a new client, though somebody has the same name."""
FIRST = (*SIZE, "species")
"""The piece's inputs that are asked first; the others have defaults in closed groups."""
WANTED = ("label", *SIZE, "stages")
"""Any of these filled in means that a first piece is wanted; the species has a default."""
MOST_PICTURES = 8


class NewCommissionForm(PieceForm):
    """The client, the commission and its first piece: one form, one transaction.

    The version seen is the newest among the clients offered.
    """

    def __init__(self, data: Any = None, sent: Any = None, *, initial: dict[str, Any], **more: Any) -> None:
        self.known = sorted(client_views(list(Client.objects.all())), key=lambda c: c["name"].casefold())
        self.newest = max((c["version"] for c in self.known), default=0)
        self.habits = habits()
        super().__init__(data, seen=self.newest, initial={**self.habits, **initial}, **more)
        self.files = sent or MultiValueDict()
        for name in SIZE:  # the page shows these lengths again among the figures
            field = self.fields[name]
            assert isinstance(field, TextField), "a length is typed"
            field.is_length = False
            for attribute in ("hx-get", "hx-trigger", "hx-target"):
                field.widget.attrs.pop(attribute)
        choices = [(str(c["id"]), c["name"]) for c in self.known]
        chosen = dict(choices).get(str(initial.get("client", "")))
        self.fields["client"] = choice_field(
            _("Which client"),
            [("", _("The one of this name, else a new one")), (NEW, _("A new client")), *choices],
        )
        self.fields["name"] = text_field(
            _("Client"), list="client-names", autocomplete="off", autofocus=not chosen
        )
        self.fields["name"].initial = chosen
        self.fields["email"] = text_field(_("E-mail"), inputmode="email", autocomplete="off")
        self.fields["phone"] = text_field(_("Phone"), inputmode="tel", autocomplete="off")
        self.fields["address"] = text_field(_("Address"), lines=3, autocomplete="off")
        self.fields["species"].label = _("Wood")
        self.fields["asks_for"] = text_field(_("What they ask for"), lines=2)
        self.fields["budget"] = number_field(_("Budget"), suffix=settings()["currency"], autocomplete="off")
        self.fields["wanted_on"] = date_field(_("They want it by"))
        self.fields["heard"] = text_field(_("Heard of us"), list="heard-before", autocomplete="off")
        self.fields["pictures"] = PicturesField(label=_("Pictures"))
        self.fields["title"] = text_field(
            _("Title"), help_text=_("Empty: the first words of what they ask for")
        )
        self.fields["promise_on"] = date_field(
            _("Promised for"), help_text=_("Leave empty while nothing is promised.")
        )
        self.fields["notes"] = text_field(_("Notes"), lines=3)

    def asked(self) -> dict[str, Any]:
        asked = super().asked()
        asked["title"] = asked["title"] or asked["label"] or title_from(asked["asks_for"])
        return asked

    def refuse(self, refused: ShopError | CalcError) -> None:
        super().refuse(refused)
        if isinstance(refused, Stale):
            self.renew("form_seen", str(self.newest))

    def field_of(self, name: str) -> str:
        """Return the form's field; a missing title is shown at what they ask for, which gives it."""
        return "asks_for" if name == "title" and not self.cleaned_data.get("title") else name

    def wants_piece(self, asked: dict[str, Any]) -> bool:
        return any(asked[name] for name in WANTED)

    def client_asked(self, asked: dict[str, Any]) -> int | None:
        """Return the id of the client meant, or None for a new one.

        Raises
        ------
        Invalid
            Where several clients have the name, or it does not belong to the client chosen.
        """
        name = asked["name"].strip().casefold()
        if asked["client"] == NEW:
            return None
        if asked["client"]:
            return self._chosen(asked, name)
        named = [c["id"] for c in self.known if c["name"].strip().casefold() == name]
        if not named or any(asked[part] for part in PERSONAL[1:]):
            return None
        if len(named) > 1:
            raise Invalid(
                _("several clients have this name"), field="client", value=asked["name"][:60],
                allowed=_("one of the list, or a new client"),
            )  # fmt: skip
        return int(named[0])

    def _chosen(self, asked: dict[str, Any], name: str) -> int:
        chosen = next((c for c in self.known if str(c["id"]) == asked["client"]), None)
        other = bool(name) and (chosen is None or name != chosen["name"].strip().casefold())
        if other or any(asked[part] for part in PERSONAL[1:]):
            raise Invalid(
                _("choose a client or write a new one, not both"), field="client", allowed=_("one of the two")
            )
        return int(asked["client"]) if asked["client"].isdecimal() and len(asked["client"]) < 19 else 0

    @property
    def sizes(self) -> list[BoundField]:
        return [self[name] for name in SIZE]

    @property
    def enquired(self) -> list[BoundField]:
        return [self[name] for name in ENQUIRED]

    @property
    def heard_before(self) -> list[str]:
        return heard_before()

    @property
    def piece_open(self) -> bool:
        """Return whether an error belongs to the folded part of the piece."""
        return bool(self["label"].errors) or any(
            field.errors for _title, fields, _open, _routes in self.folded for field in fields
        )

    @property
    def folded(self) -> Iterable[tuple[Text, list[BoundField], bool, str]]:
        """Yield the groups of fields with defaults: title, fields, open or not by an error, and routes."""
        for title, fields, _folded, routes in self.groups:
            rest = [field for field in fields if field.name not in FIRST]
            if "quantity" in (field.name for field in rest):
                title, rest = _("Route, count and cut"), [self["route"], *rest, self["stages"]]
            yield title, rest, any(field.errors for field in rest), routes

    @property
    def client_open(self) -> bool:
        return any(self[name].errors or self[name].value() for name in ("client", *PERSONAL[1:]))

    @property
    def enquiry_open(self) -> bool:
        return any(self[name].errors for name in ENQUIRED)

    @property
    def about_open(self) -> bool:
        return any(self[name].errors for name in COMMISSION)


@worker
@require_http_methods(["GET", "POST"])
def new_commission(request: SignedIn) -> HttpResponse:
    initial = {"client": request.GET.get("client", "")}
    form = NewCommissionForm(request.POST or None, request.FILES, person=request.user, initial=initial)
    return command_page(
        request, form, lambda _call, **asked: _open(request, form, asked),
        lambda first: (
            _("Commission %(number)s is open.") % first.data, "web:commission", first.data["number"]
        ),
        "web/commissions/commission_new.html",
        lambda: live_figures(form, request.user) if form.is_bound else {},
    )  # fmt: skip


@worker
@require_POST
def figures(request: SignedIn) -> HttpResponse:
    """Show the figures of the piece while the form is typed into; write nothing."""
    form = NewCommissionForm(request.POST, person=request.user, initial={})
    return render(request, "web/commissions/parts/live.html", live_figures(form, request.user))


def _open(request: SignedIn, form: NewCommissionForm, asked: dict[str, Any]) -> CommandResult:
    """Open a client, a commission and a piece, with its pictures, in one transaction."""
    at_most(len(asked["pictures"]), MOST_PICTURES, _("too many pictures at once"), field="pictures")
    pictures = [shrunk(one.read(), field="pictures") for one in asked["pictures"]]
    with transaction.atomic():
        return _opened(request, form, asked, pictures)


def _opened(
    request: SignedIn, form: NewCommissionForm, asked: dict[str, Any], pictures: list[bytes]
) -> CommandResult:
    known = form.client_asked(asked)
    client = _added(request, form, asked) if known is None else known
    call = form.call(request, part="commission")
    opened = open_commission(
        replace(call, seen=None if known is None else _seen(known, call.seen)),
        client=client,
        budget=to_money(asked["budget"], "budget") if asked["budget"] else None,
        **{name: asked[name] for name in ("asks_for", "wanted_on", "heard", *COMMISSION)},
    )
    number = opened.events[0].data["number"]
    if form.wants_piece(asked):
        add_piece(
            replace(form.call(request, part="piece"), seen=None),
            commission=number,
            units=units_of(request.user),
            asked=form.piece_asked({**asked, "label": asked["label"] or asked["title"]}),
        )
    for place, picture in enumerate(pictures):
        pin_picture(
            replace(form.call(request, part=f"picture {place}"), seen=None),
            commission=number,
            picture=picture,
        )
    return opened


def _seen(client: int, newest: int | None) -> int | None:
    """Return the older of the client's version and the newest version that the form listed."""
    found = Client.objects.filter(id=client).first()
    return min(found.version, newest) if found and newest is not None else None


def _added(request: SignedIn, form: NewCommissionForm, asked: dict[str, Any]) -> int:
    done = add_client(form.call(request, part="client"), **{name: asked[name] for name in PERSONAL})
    return row_key(done.events[0].seq)
