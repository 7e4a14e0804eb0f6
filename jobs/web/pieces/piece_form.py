"""The form of a piece: every input with its choices and defaults, lengths as people type them."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.forms import BoundField
from django.urls import reverse_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.units import format_length
from calcs.materials.species import OWN_WOOD
from jobs.domain.pieces.extra_inputs import MASSES, WAY
from jobs.domain.pieces.inputs import CHOICES, COUNTS, DEFAULT_LENGTHS, DEFAULTS, LENGTHS
from jobs.domain.routes import all_routes
from jobs.domain.stock.product_sheets import newest
from jobs.domain.stock.woods import wood_names
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Person, Piece, Sheet
from jobs.web.kit.forms import PageForm, choice_field, number_field, text_field
from jobs.web.kit.stored_translations import Text, capital, translate_stored
from jobs.web.pieces import extra_fields

LABELS = {
    "length": gettext_lazy("Length"),
    "width": gettext_lazy("Width"),
    "thickness": gettext_lazy("Thickness"),
    "widest_strip": gettext_lazy("Widest strip"),
    "board_width": gettext_lazy("Usual board, width"),
    "board_length": gettext_lazy("Usual board, length"),
    "trim_length": gettext_lazy("Extra length of a strip"),
    "trim_width": gettext_lazy("Extra width of the blank"),
    "quantity": gettext_lazy("How many"),
    "sealing_coats": gettext_lazy("Sealing coats, all round"),
    "build_coats": gettext_lazy("Build coats, on the face"),
    "cut": gettext_lazy("Cut"),
    "ring_direction": gettext_lazy("Rings"),
    "edge_profile": gettext_lazy("Edge profile"),
    "joinery": gettext_lazy("Joinery"),
    "mark": gettext_lazy("Maker's mark"),
    "prefer": gettext_lazy("Count of strips"),
    **extra_fields.LABELS,
}
GROUPS: tuple[tuple[Text, tuple[str, ...]], ...] = (
    (gettext_lazy("Size and wood"), ("length", "width", "thickness", "quantity", "species", "cut")),
    (
        gettext_lazy("Glue and finish"),
        ("glue", "finish_face", "finish_under", "sealing_coats", "build_coats"),
    ),
    (gettext_lazy("Shape"), ("edge_profile", "joinery", "stiffeners", "mark")),
    (
        gettext_lazy("Strips and boards"),
        (
            "strips_from",
            "ring_direction",
            "prefer",
            "widest_strip",
            "trim_width",
            "trim_length",
            "board_width",
            "board_length",
            "grade",
            "waste_pct",
        ),
    ),
    *extra_fields.GROUPS,
)
FOLDED = tuple(title for title, _names in GROUPS[1:])
"""Groups closed at first, because their defaults usually do: all but size and wood."""
SIZE = ("length", "width", "thickness")
TYPED_FIRST = ("label", *SIZE, "species", "stages")
"""Any of these filled in means that a first piece is wanted."""


class PieceForm(PageForm):
    """The inputs of a piece; the command parses what was typed."""

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.person = person
        self.fields["label"] = text_field(_("What it is"), help_text=_("Such as: Table top"))
        self.fields["route"] = choice_field(_("Route"), [(r.key, r.title) for r in all_routes().values()])
        for name in LENGTHS:
            self.fields[name] = self._length(name)
        for name, allowed in CHOICES.items():
            self.fields[name] = choice_field(
                LABELS[name], [(v, capital(translate_stored(v))) for v in allowed]
            )
        for name, (least, most) in COUNTS.items():
            says = _("%(least)s to %(most)s; empty: as on the finish's sheet")
            hint = (_("%(least)s to %(most)s") if name == "quantity" else says) % {
                "least": least,
                "most": most,
            }
            self.fields[name] = number_field(LABELS[name], help_text=hint)
        self.fields["pegs"] = number_field(LABELS["pegs"], help_text=extra_fields.HINTS["pegs"])
        for name in MASSES:
            self.fields[name] = text_field(LABELS[name], help_text=extra_fields.HINTS[name])
        self._add_products()
        self.fields["species"] = text_field(
            _("Species"),
            help_text=_("Another wood: enter its figures once under Product sheets; or its name and %(mark)s")
            % {"mark": OWN_WOOD},
            list="species-names",
            autocomplete="off",
        )
        self.fields["stiffeners"] = yes_no(_("Stiffeners across the grain"))
        self.fields["waste_pct"] = number_field(
            _("Waste in buying"),
            suffix="%",
            help_text=_("Empty: what the grade leaves, else as set for the shop"),
        )
        self.fields["stages"] = text_field(
            _("Own stages"), lines=6, help_text=_("One on a line, in their order")
        )
        for name, value in {
            "route": "edge-glued-film",
            "quantity": "1",
            "stiffeners": "no",
            **DEFAULTS,
        }.items():
            self.fields[name].initial = value

    def _length(self, name: str) -> forms.Field:
        default = DEFAULT_LENGTHS.get(name)
        echo: dict[str, Any] = {
            "hx-get": reverse_lazy("web:length"),
            "hx-trigger": "change",
            "hx-target": f"#echo_{name}",
        }
        field = text_field(
            LABELS[name],
            help_text=extra_fields.HINTS.get(name, "")
            if default is None
            else _("Empty: %(usual)s") % {"usual": format_length(default, self.person.unit)},
            suffix=self.person.unit,
            autocomplete="off",
            **echo,
        )
        field.is_length = True
        return field

    def _add_products(self) -> None:
        glues, finishes = (
            [(p.key, p.sheet.name) for p in newest(kind).values()]
            for kind in (Sheet.Kind.GLUE, Sheet.Kind.FINISH)
        )
        self.fields["glue"] = choice_field(_("Glue"), glues)
        self.fields["finish_face"] = choice_field(
            _("Finish, face"), [("", _("Usual for the route")), *finishes]
        )
        self.fields["finish_under"] = choice_field(
            _("Finish, underside"), [("", _("As the face")), *finishes]
        )

    @property
    def groups(self) -> Iterable[tuple[Text, list[BoundField], bool, str]]:
        """Yield titles with their fields, whether the group is closed, and the routes that it is for."""
        for title, names in GROUPS:
            fields = [self[name] for name in names]
            routes = self.ended_routes if title == extra_fields.OF_ENDS else ""
            yield title, fields, title in FOLDED and not any(f.errors for f in fields), routes

    @property
    def ended_routes(self) -> str:
        """Return the keys of the routes that make breadboard ends."""
        return " ".join(r.key for r in all_routes().values() if r.figures("breadboard"))

    @property
    def own_routes(self) -> str:
        """Return the keys of the routes that take a list of stages from the form."""
        return " ".join(r.key for r in all_routes().values() if any(s.get("own_list") for s in r.stages))

    @property
    def species_names(self) -> list[str]:
        return wood_names()

    def piece_asked(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Return the typed values that are about the piece."""
        return {name: asked[name] for name in ("label", "route", *_NAMES) if asked[name] != ""}

    def wants_piece(self, asked: dict[str, Any]) -> bool:
        return any(asked[name] for name in TYPED_FIRST)


_NAMES = (
    *LENGTHS,
    *CHOICES,
    *COUNTS,
    "pegs",
    *MASSES,
    "glue",
    "finish_face",
    "finish_under",
    "species",
    "stiffeners",
    "waste_pct",
    "stages",
)


def yes_no(label: Text, *, help_text: Text = "") -> forms.Field:
    return forms.ChoiceField(
        label=label,
        help_text=help_text,
        required=False,
        choices=[("yes", _("Yes")), ("no", _("No"))],
        widget=forms.RadioSelect,
    )


def way_in_of(commission: Commission) -> dict[str, str]:
    """Return the way in of the newest piece of a commission as typed: another piece goes the same way."""
    newest = commission.pieces.order_by("-id").first()
    typed = newest.inputs.get("typed", {}) if newest else {}
    return {name: typed[name] for name in WAY if name in typed}


def typed_of(piece: Piece, person: Person) -> dict[str, str]:
    """Return a piece as this person would have typed its form."""
    inputs = piece.inputs
    stages = list(piece.stages.order_by("position"))
    texts = Texts(refs_of([piece, *stages]))
    lengths = {name: inputs.get(f"{name}_len") for name in LENGTHS}
    named = (*CHOICES, *COUNTS, "pegs", "glue", "finish_face")
    words = {name: inputs.get(name, DEFAULTS.get(name)) for name in named}
    under = inputs.get("finish_under")
    return {
        "label": texts[piece.label_ref],
        "route": inputs["route"],
        **{n: "" if v is None else format_length(v, person.unit) for n, v in lengths.items()},
        **{n: "" if v is None else str(v) for n, v in words.items()},
        "finish_under": "" if under in (None, inputs.get("finish_face")) else under,
        **{name: inputs.get("typed", {}).get(name, "") for name in MASSES},
        "species": inputs["species"] or "",
        "stiffeners": "yes" if inputs["stiffeners"] else "no",
        "waste_pct": inputs["waste_pct"] or "",
        "stages": "\n".join(texts[s.title_ref] for s in stages if s.spec["own_title"]),
    }
