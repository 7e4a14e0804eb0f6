"""A new commission in one form: client, title, size and species of the first piece; the rest has defaults."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.forms import BoundField
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError, Stale
from jobs.domain.clients.commands import add_client
from jobs.domain.commissions.commissions import open_commission
from jobs.domain.commissions.piece_commands import add_piece
from jobs.domain.overviews.commission import client_views
from jobs.domain.pieces.blockers import blockers_of
from jobs.domain.pieces.calculations import compute, title_of
from jobs.domain.pieces.defaults import habits
from jobs.domain.pieces.inputs import read_inputs
from jobs.domain.quoting.proposals import cost_of
from jobs.domain.settings import settings
from jobs.log.commands import CommandResult
from jobs.models import Client, Person
from jobs.models.bases import row_key
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import length_words, money_words, number_words, other_length_words
from jobs.web.kit.forms import TextField, choice_field, date_field, sentence, text_field
from jobs.web.kit.stored_translations import Text, translate_stored
from jobs.web.pieces.piece_form import LABELS, SIZE, PieceForm
from jobs.web.pieces.summaries import headline

PERSONAL = ("name", "email", "phone", "address")
COMMISSION = ("title", "promise_on", "notes")
NEW = "new"
"""The choice of a new client, though somebody has the same name."""
FIRST = (*SIZE, "species", "finish_face")
"""The piece's inputs that are asked first; the others have defaults in closed groups."""
WANTED = ("label", *SIZE, "stages")
"""Any of these filled in means that a first piece is wanted; species and finish have defaults."""


class NewCommissionForm(PieceForm):
    """The client, the commission and its first piece: one form, one transaction.

    The version seen is the newest among the clients offered.
    """

    def __init__(self, data: Any = None, *, initial: dict[str, Any], **more: Any) -> None:
        self.known = sorted(client_views(list(Client.objects.all())), key=lambda c: c["name"].casefold())
        self.newest = max((c["version"] for c in self.known), default=0)
        self.habits = habits()
        super().__init__(data, seen=self.newest, initial={**self.habits, **initial}, **more)
        for name in SIZE:  # the page shows these lengths again among the figures
            field = self.fields[name]
            assert isinstance(field, TextField), "a length is typed"
            field.is_length = False
            for attribute in ("hx-get", "hx-trigger", "hx-target"):
                field.widget.attrs.pop(attribute)
        choices = [(str(c["id"]), c["name"]) for c in self.known]
        self.fields["client"] = choice_field(
            _("Which client"),
            [("", _("The one of this name, else a new one")), (NEW, _("A new client")), *choices],
        )
        self.fields["name"] = text_field(_("Name"), list="client-names", autocomplete="off")
        self.fields["email"] = text_field(_("E-mail"), inputmode="email", autocomplete="off")
        self.fields["phone"] = text_field(_("Telephone"), inputmode="tel", autocomplete="off")
        self.fields["address"] = text_field(_("Address"), lines=3, autocomplete="off")
        self.fields["title"] = text_field(
            _("Title"), help_text=_("What everybody here will call it. Empty: as what it is")
        )
        self.fields["promise_on"] = date_field(
            _("Promised for"), help_text=_("Leave empty while nothing is promised.")
        )
        self.fields["notes"] = text_field(_("Notes"), lines=3)

    def asked(self) -> dict[str, Any]:
        asked = super().asked()
        asked["title"] = asked["title"] or asked["label"]
        return asked

    def refuse(self, refused: ShopError | CalcError) -> None:
        super().refuse(refused)
        if isinstance(refused, Stale):
            self.renew("form_seen", str(self.newest))

    def field_of(self, name: str) -> str:
        """Return the form's field; a missing title is shown at the label, which names the commission too."""
        return "label" if name == "title" and not self.cleaned_data.get("title") else name

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
    def first(self) -> list[BoundField]:
        return [self[name] for name in FIRST]

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
    def about_open(self) -> bool:
        return any(self[name].errors for name in COMMISSION)


@worker
@require_http_methods(["GET", "POST"])
def new_commission(request: SignedIn) -> HttpResponse:
    initial = {"client": request.GET.get("client", "")}
    form = NewCommissionForm(request.POST or None, person=request.user, initial=initial)
    return command_page(
        request, form, lambda _call, **asked: _open(request, form, asked),
        lambda first: (
            _("Commission %(number)s is open.") % first.data, "web:commission", first.data["number"]
        ),
        "web/commissions/commission_new.html",
        lambda: _figures(form, request.user) if form.is_bound else {},
    )  # fmt: skip


@worker
@require_POST
def figures(request: SignedIn) -> HttpResponse:
    """Show the figures of the piece while the form is typed into; write nothing."""
    form = NewCommissionForm(request.POST, person=request.user, initial={})
    return render(request, "web/commissions/parts/live.html", _figures(form, request.user))


def _figures(form: NewCommissionForm, person: Person) -> dict[str, Any]:
    """Return board feet, weight and price of what is typed so far, or what is still missing."""
    if not form.is_valid():
        return {"waits": True}
    asked = form.asked()
    missing = [LABELS[name].lower() for name in SIZE if not asked[name].strip()]
    missing += [] if asked["species"].strip() else ["species"]
    if missing:
        return {"missing": missing}
    try:
        inputs = read_inputs(form.piece_asked({**asked, "label": "", "stages": ""}), units_of(person))
        computed = compute(inputs)
    except (ShopError, CalcError) as refused:
        label = str(form.fields[refused.field].label) if refused.field in form.fields else ""
        return {"refused": sentence(refused, called=label)}
    return {"live": _live(inputs, computed, person)}


def _live(inputs: dict[str, Any], computed: dict[str, Any], person: Person) -> list[tuple[str, str]]:
    units = units_of(person)
    sizes = [inputs[f"{name}_len"] for name in SIZE]
    own, other = (
        " × ".join(words(size, person) for size in sizes) for words in (length_words, other_length_words)
    )
    rows = [(_("Size"), f"{own} ({other})"), (_("Wood"), inputs["species"])]
    lumber = computed.get("lumber", {})
    if "result" in lumber:
        net, buy = (number_words(lumber["result"][name]) for name in ("net_bf", "buy_bf"))
        rows.append(
            (
                _("Lumber"),
                _("%(net)s board ft in the top, %(buy)s to buy: %(lumber)s")
                % {"net": net, "buy": buy, "lumber": headline("lumber", lumber["result"], units)},
            )
        )
    for name, title in (("weight", _("Weight")), ("lifting", _("To lift it"))):
        if "result" in computed.get(name, {}):
            rows.append((title, headline(name, computed[name]["result"], units)))
    rows += [(_("To solve first"), _solve(one)) for one in blockers_of(computed)]
    if person.is_owner:
        cost = cost_of(inputs, computed, Decimal(0))
        told = _("set prices of wood and of what else is bought on the page Shop")
        if cost is not None:
            told = _("%(currency)s for materials, before hours and tax") % {
                "currency": money_words(cost.price, settings()["currency"])
            }
        rows.append((_("Price"), told))
    return rows


def _solve(one: dict[str, Any]) -> str:
    """Return what has to be solved, and the ways out, with the name of its calculation."""
    told = "; ".join([one["says"], *one["ways"]])
    return f"{translate_stored(title_of(one['calculation']))}: {told}."


@transaction.atomic
def _open(request: SignedIn, form: NewCommissionForm, asked: dict[str, Any]) -> CommandResult:
    """Open a client, a commission and a piece in one transaction."""
    known = form.client_asked(asked)
    client = _added(request, form, asked) if known is None else known
    call = form.call(request, part="commission")
    opened = open_commission(
        replace(call, seen=None if known is None else _seen(known, call.seen)),
        client=client,
        **{name: asked[name] for name in COMMISSION},
    )
    if form.wants_piece(asked):
        add_piece(
            replace(form.call(request, part="piece"), seen=None),
            commission=opened.events[0].data["number"],
            units=units_of(request.user),
            asked=form.piece_asked({**asked, "label": asked["label"] or asked["title"]}),
        )
    return opened


def _seen(client: int, newest: int | None) -> int | None:
    """Return the older of the client's version and the newest version that the form listed."""
    found = Client.objects.filter(id=client).first()
    return min(found.version, newest) if found and newest is not None else None


def _added(request: SignedIn, form: NewCommissionForm, asked: dict[str, Any]) -> int:
    done = add_client(form.call(request, part="client"), **{name: asked[name] for name in PERSONAL})
    return row_key(done.events[0].seq)
