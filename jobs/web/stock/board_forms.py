"""The forms of a board: add it, change what was typed, and act on it."""

from collections.abc import Callable, Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.units import format_length
from jobs.core.errors import Invalid
from jobs.domain.stock.boards import (
    CHANGED,
    LENGTHS,
    MEASURED,
    change_board,
    read_moisture,
    release_board,
    reserve_board,
    use_board,
    void_moisture,
    write_off_board,
)
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.queries import board_views
from jobs.domain.stock.suitability import misfit
from jobs.domain.stock.woods import wood_names
from jobs.log.commands import CommandResult
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Board, Commission, Person, Piece
from jobs.web.kit.calls import units_of
from jobs.web.kit.forms import PageForm, choice_field, number_field, reason_field, text_field
from jobs.web.kit.stored_translations import Text

SIDE_LABELS = {
    "thickness": gettext_lazy("Thickness"), "width": gettext_lazy("Width"), "length": gettext_lazy("Length"),
}  # fmt: skip


class BoardForm(PageForm):
    """A board as measured."""

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields.update(_typed_fields(person, CHANGED))

    @property
    def species_names(self) -> list[str]:
        return wood_names()


class BoardVerb(PageForm):
    """One of several forms on the page of a board: the ids of its fields differ from theirs."""

    verb = ""
    says: Text = ""
    button: Text = ""
    standing: tuple[str, ...] = ()
    needs_units = risky = waits = False

    def __init__(self, data: Any = None, *, person: Person, board: Board, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = f"id_{self.verb}_%s"
        self.board = board
        self.lay(person)

    def lay(self, person: Person) -> None:
        """Add the fields of this verb."""

    def act(self, call: Any, board: int, asked: dict[str, Any], person: Person) -> CommandResult:
        units = {"units": units_of(person)} if self.needs_units else {}
        return self.command(call, board=board, **units, **asked)

    command: Callable[..., CommandResult]


class MoistureForm(BoardVerb):
    verb, says, button = "moisture", gettext_lazy("A moisture reading"), gettext_lazy("Save it")
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
        self.auto_id = False  # the page has one for each reading

    def act(self, call: Any, board: int, asked: dict[str, Any], person: Person) -> CommandResult:
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
        found = _pieces(self.board)
        none = _("No piece that is being made takes this wood in this thickness")
        self.fields["piece"] = choice_field(_("Piece"), found, help_text="" if found else none)


class ReserveHere(BoardVerb):
    """The button beside a free board on the page of a piece."""

    verb, standing = "reserve", ()

    def lay(self, person: Person) -> None:
        self.auto_id = False  # the page has one for each board
        self.fields["piece"] = forms.CharField(widget=forms.HiddenInput)
        self.fields["form_list"] = forms.CharField(widget=forms.HiddenInput, initial="yes")


class UseForm(BoardVerb):
    verb, says, button = "use", gettext_lazy("It is used"), gettext_lazy("Mark it used")
    standing = (Board.Step.FREE, Board.Step.RESERVED)
    command = staticmethod(use_board)

    def lay(self, person: Person) -> None:
        self.fields["piece"] = choice_field(
            _("By which piece"), [("", _("The one it is reserved for")), *_pieces(self.board)]
        )


class ChangeForm(BoardVerb):
    """What was typed of a board; what a used board keeps on record is not asked."""

    verb, says, button = "change", gettext_lazy("Change what was typed"), gettext_lazy("Save")
    standing = (Board.Step.FREE, Board.Step.RESERVED, Board.Step.USED)
    command, needs_units = staticmethod(change_board), True

    def lay(self, person: Person) -> None:
        view = board_views([self.board], with_money=True)[0]
        fixed: dict[str, tuple[str, ...]] = {Board.Step.FREE: (), Board.Step.RESERVED: ("species",)}
        stays = fixed.get(self.board.step, MEASURED)
        self.fields.update(_typed_fields(person, [name for name in CHANGED if name not in stays]))
        self.initial = {
            **self.initial,
            "species": view["species"],
            "price": "" if view["price"] is None else f"{view['price']:f}",
            "note": view["note"],
            **{n: format_length(view[f"{n}_len"], person.unit).removeprefix("≈ ") for n in SIDE_LABELS},
        }

    def act(self, call: Any, board: int, asked: dict[str, Any], person: Person) -> CommandResult:
        """Send only what differs, so that a rounded length does not replace the measured one."""
        changes = {name: text for name, text in asked.items() if text.strip() != self.initial[name]}
        return change_board(call, board=board, units=units_of(person), **changes)


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
            self.fields[name] = _length(SIDE_LABELS[name], person, help_text=_("Empty: as the board's"))
        self.fields["note"] = text_field(_("Remarks"), lines=2)


class WriteOffForm(BoardVerb):
    verb, says, button = "write-off", gettext_lazy("Write it off"), gettext_lazy("Write it off for good")
    standing = (Board.Step.FREE, Board.Step.RESERVED)
    command, risky = staticmethod(write_off_board), True

    def lay(self, person: Person) -> None:
        self.fields["reason"] = reason_field(_("Why"))


VERBS = {
    form.verb: form
    for form in (
        MoistureForm,
        VoidMoistureForm,
        ReserveForm,
        UseForm,
        OffcutForm,
        ReleaseForm,
        ChangeForm,
        WriteOffForm,
    )
}


def _typed_fields(person: Person, names: Iterable[str]) -> dict[str, forms.Field]:
    """Return the fields of what is typed of a board; only the owner has the price."""
    fields = {
        "species": text_field(_("Species"), list="species-names", autocomplete="off"),
        **{name: _length(SIDE_LABELS[name], person) for name in LENGTHS},
        "note": text_field(_("Remarks"), lines=2, help_text=_("Knots, where it came from")),
    }
    if person.is_owner:
        fields["price"] = number_field(_("Price of the board"), help_text=_("May stay empty"))
    return {name: fields[name] for name in names if name in fields}


def _length(label: Text, person: Person, *, help_text: str = "") -> Any:
    return text_field(label, suffix=person.unit, help_text=help_text, autocomplete="off")


def _pieces(board: Board) -> list[tuple[str, str]]:
    """Return the unfinished pieces that the board suits."""
    made = Piece.objects.exclude(commission__step__in=Commission.ENDED).order_by("number")
    found = [piece for piece in made if not misfit(board, piece)]
    texts = Texts(refs_of(found))
    return [(p.number, f"{p.number} {texts[p.label_ref]}") for p in found]
