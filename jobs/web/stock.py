"""Boards: the rack, one board, and what may be done with it. The supplies stand on the same page."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from calcs.species import species_list
from jobs import lookups
from jobs.commands.stock import (
    add_board,
    cut_offcut,
    read_moisture,
    release_board,
    reserve_board,
    use_board,
    void_moisture,
    write_off_board,
)
from jobs.errors import Invalid
from jobs.log import Done
from jobs.models import Board, Commission, Person, Piece, Supply
from jobs.private import Texts, refs_of
from jobs.queries.stock import board_views, boards_of
from jobs.queries.supplies import supply_views
from jobs.web import taps
from jobs.web.access import worker
from jobs.web.answers import done_to
from jobs.web.calls import units_of
from jobs.web.forms import PageForm, choice_field, number_field, reason_field, text_field
from jobs.web.stored_words import told_choices

SHOWN = (Board.Step.FREE, Board.Step.RESERVED, Board.Step.USED, Board.Step.WRITTEN_OFF)
MOST_SHOWN = 200


class BoardForm(PageForm):
    """A board as measured."""

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["species"] = text_field(_("Species"), list="species-names", autocomplete="off")
        for name in ("thickness", "width", "length"):
            self.fields[name] = _length(name.capitalize(), person)
        if person.is_owner:
            self.fields["price"] = number_field(_("Price of the board"), help_text=_("May stay empty"))
        self.fields["note"] = text_field(_("Remarks"), lines=2, help_text=_("Knots, where it came from"))

    @property
    def species_names(self) -> list[str]:
        return sorted({n for s in species_list() for n in (s.name, *s.aliases)})


class BoardVerb(PageForm):
    """One of several forms on the page of a board: its fields have ids of their own."""

    verb = says = button = ""
    standing: tuple[str, ...] = ()
    needs_units = risky = waits = False

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = f"id_{self.verb}_%s"
        self.lay(person)

    def lay(self, person: Person) -> None:
        """Add the fields of this verb."""

    def act(self, call: Any, board: int, asked: dict[str, Any], person: Person) -> Done:
        units = {"units": units_of(person)} if self.needs_units else {}
        return self.command(call, board=board, **units, **asked)

    command: Callable[..., Done]


class MoistureForm(BoardVerb):
    verb, says, button = "moisture", gettext_lazy("A moisture reading"), gettext_lazy("Take it down")
    standing = (Board.Step.FREE, Board.Step.RESERVED, Board.Step.USED)
    command, needs_units, waits = staticmethod(read_moisture), True, True

    def lay(self, person: Person) -> None:
        self.fields["pct"] = number_field(_("Moisture content"), suffix="%")
        self.fields["depth"] = _length(_("Depth of the pins"), person, help_text=_("May stay empty"))


class VoidMoistureForm(BoardVerb):
    """A button beside each reading; the page does not list it among the verbs."""

    verb, says = "void-moisture", gettext_lazy("The reading is taken back")
    standing = ()
    command = staticmethod(void_moisture)

    def lay(self, person: Person) -> None:
        self.fields["reading"] = number_field(_("Reading"))
        self.auto_id = False  # it stands on the page once for each reading

    def act(self, call: Any, board: int, asked: dict[str, Any], person: Person) -> Done:
        text = asked["reading"]
        if not (text.isascii() and text.isdigit() and len(text) < 19):
            raise Invalid(
                _("which reading?"), field="reading", value=text[:40], allowed=_("one of the board's")
            )
        return void_moisture(call, board=board, reading=int(text))


class ReserveForm(BoardVerb):
    verb, says, button = "reserve", gettext_lazy("Reserve it for a piece"), gettext_lazy("Reserve")
    standing = (Board.Step.FREE,)
    command = staticmethod(reserve_board)

    def lay(self, person: Person) -> None:
        self.fields["piece"] = choice_field(_("Piece"), _pieces())


class UseForm(BoardVerb):
    verb, says, button = "use", gettext_lazy("It is used"), gettext_lazy("Mark it used")
    standing = (Board.Step.FREE, Board.Step.RESERVED)
    command = staticmethod(use_board)

    def lay(self, person: Person) -> None:
        self.fields["piece"] = choice_field(
            _("By which piece"), [("", _("The one it is reserved for")), *_pieces()]
        )


class ReleaseForm(BoardVerb):
    verb, says, button = "release", gettext_lazy("Back on the rack"), gettext_lazy("It is free again")
    standing = (Board.Step.RESERVED, Board.Step.USED)
    command = staticmethod(release_board)


class OffcutForm(BoardVerb):
    verb, says, button = (
        "offcut",
        gettext_lazy("What is left of it"),
        gettext_lazy("Put the offcut on the rack"),
    )
    standing = (Board.Step.USED,)
    command, needs_units = staticmethod(cut_offcut), True

    def lay(self, person: Person) -> None:
        self.fields["length"] = _length(_("Length"), person)
        for name in ("width", "thickness"):
            self.fields[name] = _length(name.capitalize(), person, help_text=_("Empty: as the board's"))
        self.fields["note"] = text_field(_("Remarks"), lines=2)


class WriteOffForm(BoardVerb):
    verb, says, button = "write-off", gettext_lazy("Write it off"), gettext_lazy("Write it off for good")
    standing = (Board.Step.FREE, Board.Step.RESERVED)
    command, risky = staticmethod(write_off_board), True

    def lay(self, person: Person) -> None:
        self.fields["reason"] = reason_field(_("Why"))


VERBS = {
    form.verb: form
    for form in (MoistureForm, VoidMoistureForm, ReserveForm, UseForm, OffcutForm, ReleaseForm, WriteOffForm)
}


@worker
@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """The rack by standing, or the boards of one piece; and the shelf."""
    step, piece = request.GET.get("step", Board.Step.FREE), request.GET.get("piece", "")
    chosen = "" if piece else step if step in SHOWN else Board.Step.FREE
    boards = board_views(boards_of(step=chosen, piece=piece)[:MOST_SHOWN], with_money=request.user.is_owner)
    supplies = supply_views(Supply.objects.filter(discarded_at=None), today=timezone.localdate())
    context = {
        "boards": boards,
        "board_feet": sum(b["board_feet"] for b in boards),
        "supplies": supplies,
        "steps": told_choices((s.value, s.label) for s in SHOWN),
        "chosen": chosen,
        "piece": piece,
    }
    return render(request, "web/stock.html", context)


@worker
@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    form = BoardForm(request.POST or None, person=request.user)
    if request.method == "POST":
        done = form.carry_out(
            lambda asked: add_board(form.call(request), units=units_of(request.user), **asked)
        )
        if done:
            number = done.events[0].data["board"]
            return done_to(
                request,
                done,
                _("Board %(number)s: chalk the number on it.") % {"number": number},
                "web:board",
                number,
            )
    return render(request, "web/board_new.html", {"form": form}, status=form.status)


@worker
@require_safe
def board(request: HttpRequest, number: int) -> HttpResponse:
    return _page(request, number)


@worker
@require_POST
def board_verb(request: HttpRequest, number: int, verb: str) -> HttpResponse:
    """Carry out one of the forms on the page of a board."""
    if verb not in VERBS:
        raise Http404
    form = VERBS[verb](request.POST, person=request.user)
    lookups.board(number)
    done = form.carry_out(lambda asked: form.act(form.call(request), number, asked, request.user))
    if done is None:
        return taps.refused_form(form) if taps.is_tap(request) else _page(request, number, form)
    return done_to(
        request, done, _("%(says)s: saved.") % {"says": form.says}, "web:board", done.events[0].data["board"]
    )


def _page(request: HttpRequest, number: int, refused: BoardVerb | None = None) -> HttpResponse:
    found = lookups.board(number)
    forms = [
        refused
        if refused is not None and refused.verb == verb
        else form(person=request.user, seen=found.version)
        for verb, form in VERBS.items()
        if found.step in form.standing
    ]
    context = {
        "board": board_views([found], with_money=request.user.is_owner)[0],
        "cuts": list(boards_of().filter(cut_from=number).values_list("number", flat=True)),
        "forms": forms,
        "stream": f"board:{number}",
        "called": _("Board %(number)s, %(species)s") % {"number": number, "species": found.species},
        "take_back": VoidMoistureForm(person=request.user, seen=found.version),
        "refused": refused,
    }
    status = refused.status if refused is not None else 200
    return render(request, "web/board.html", context, status=status)


def _length(label: str, person: Person, *, help_text: str = "") -> Any:
    return text_field(label, suffix=person.unit, help_text=help_text, autocomplete="off")


def _pieces() -> list[tuple[str, str]]:
    """Pieces that are still being made."""
    found = list(Piece.objects.exclude(commission__step__in=Commission.ENDED).order_by("number"))
    texts = Texts(refs_of(found))
    return [(p.number, f"{p.number} {texts[p.label_ref]}") for p in found]
