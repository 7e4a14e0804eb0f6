"""Product sheets: class defaults, the shop's own products and woods, and entering numbers. For the owner."""

from dataclasses import fields
from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from calcs.curing.laws import COAT_STEPS, GLUE_STEPS
from calcs.kit.units import format_duration, format_temperature, parse_temperature
from calcs.materials.own_woods import BASES, WoodSheet, modulus_mpa
from calcs.materials.product_sheets import FINISH_FAMILIES, GLUE_FAMILIES, Finish, Glue
from calcs.materials.sheet_reading import OWN_SHEET
from jobs.core.errors import Invalid, NotFound
from jobs.domain.stock.product_sheets import SHEET_KINDS, Product, newest, product
from jobs.domain.workshop.commands import set_sheet
from jobs.log.commands import CommandContext, CommandResult
from jobs.models import Person, Sheet
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, choice_field, number_field, text_field
from jobs.web.pieces.piece_form import yes_no

AnySheet = type[Glue] | type[Finish] | type[WoodSheet]
SHEETS: dict[str, AnySheet] = {
    Sheet.Kind.GLUE: Glue, Sheet.Kind.FINISH: Finish, Sheet.Kind.WOOD: WoodSheet
}  # fmt: skip
FAMILIES: dict[str, tuple[str, ...]] = {Sheet.Kind.GLUE: GLUE_FAMILIES, Sheet.Kind.FINISH: FINISH_FAMILIES}
LABELS = {
    "key": gettext_lazy("Short name"),
    "name": gettext_lazy("Name"),
    "family": gettext_lazy("Class"),
    "water_based": gettext_lazy("Sets by losing water"),
    "open_s": gettext_lazy("Open time"),
    "closed_s": gettext_lazy("Assembly time in all"),
    "scrape_from_s": gettext_lazy("Squeeze-out rubbery from"),
    "scrape_to_s": gettext_lazy("Squeeze-out rubbery until"),
    "unclamp_s": gettext_lazy("Clamps off after"),
    "machine_s": gettext_lazy("Machining after"),
    "surface_s": gettext_lazy("Final surfacing after"),
    "full_s": gettext_lazy("Full strength or cure after"),
    "ref_temp_c": gettext_lazy("Temperature of these times"),
    "min_temp_c": gettext_lazy("Least temperature"),
    "max_temp_c": gettext_lazy("Most temperature"),
    "rate_k": gettext_lazy("Activation energy over gas constant"),
    "spread_g_m2": gettext_lazy("Spread"),
    "shelf_life_d": gettext_lazy("Shelf life"),
    "water_borne": gettext_lazy("Water-borne"),
    "self_heating": gettext_lazy("Rags heat by themselves"),
    "film": gettext_lazy("Builds a film"),
    "touch_dry_s": gettext_lazy("Dry to touch after"),
    "recoat_from_s": gettext_lazy("Next coat from"),
    "recoat_to_s": gettext_lazy("Next coat until"),
    "light_use_s": gettext_lazy("Light use after"),
    "rh_max_pct": gettext_lazy("Most humid air"),
    "coverage_m2_per_l": gettext_lazy("Coverage"),
    "volume_solids_pct": gettext_lazy("Solids by volume"),
    "sealing_coats": gettext_lazy("Sealing coats, usual"),
    "build_coats": gettext_lazy("Build coats, usual"),
    "gravity": gettext_lazy("Specific gravity"),
    "gravity_basis": gettext_lazy("Volume that it is for"),
    "tangential_pct": gettext_lazy("Tangential shrinkage, green to ovendry"),
    "radial_pct": gettext_lazy("Radial shrinkage, green to ovendry"),
    "elasticity_mpa": gettext_lazy("Modulus of elasticity"),
    "oily": gettext_lazy("Oily: slows a drying finish"),
}
HINTS = {
    "gravity": gettext_lazy(
        "Ovendry weight over volume. A density at 12 % of moisture in kg/m³, divided by 1120."
    ),
    "tangential_pct": gettext_lazy("For movement of flatsawn boards"),
    "radial_pct": gettext_lazy("For movement of quartersawn boards"),
    "elasticity_mpa": gettext_lazy("With its unit, such as 22 GPa or 3.2 Mpsi; for how far a top bends"),
}
POINT = ("step", "temp_c", "time_s")
SUFFIXES = {
    "rate_k": "K",
    "spread_g_m2": "g/m²",
    "shelf_life_d": "days",
    "rh_max_pct": "%",
    "coverage_m2_per_l": "m²/L",
    "volume_solids_pct": "%",
    "tangential_pct": "%",
    "radial_pct": "%",
}
YES_NO = ("water_based", "water_borne", "self_heating", "film", "oily")


class SheetForm(PageForm):
    """Every number of a sheet, as its maker prints it."""

    def __init__(self, data: Any = None, *, kind: str, person: Person, new: bool, **more: Any) -> None:
        super().__init__(data, **more)
        self.kind, self.person = kind, person
        for each in fields(SHEETS[kind]):
            if each.name != "source" and (each.name != "key" or new):
                self.fields[each.name] = self._field(each.name, str(each.type))
        if kind != Sheet.Kind.WOOD:
            self._add_points()
        self.fields["origin"] = text_field(
            _("Where these numbers stand"), help_text=_("Such as: technical sheet, edition of March 2025")
        )

    def _add_points(self) -> None:
        """Add the field for times at several temperatures."""
        steps = ", ".join(GLUE_STEPS if self.kind == Sheet.Kind.GLUE else COAT_STEPS).replace("_", " ")
        self.fields["points"] = text_field(
            _("Times at several temperatures"),
            lines=4,
            help_text=_(
                "Where the sheet gives them, a line each: unclamp, 60 F, 7 h. Two to six temperatures"
                " for a step; the clock then follows them. Steps: %(steps)s"
            )
            % {"steps": steps},
        )

    def field_of(self, name: str) -> str:
        return "points" if name.startswith("points[") else name

    def _field(self, name: str, annotation: str) -> forms.Field:
        label, optional = LABELS[name], _("May stay empty") if "None" in annotation else ""
        optional = ". ".join(filter(None, (str(HINTS.get(name, "")), optional)))
        if annotation == "bool":
            return yes_no(label)
        if name == "gravity_basis":
            return choice_field(label, [(BASES[0], _("at 12 % of moisture")), (BASES[1], _("green"))])
        if name == "elasticity_mpa":
            return text_field(label, help_text=optional, autocomplete="off")
        if name == "family":
            return choice_field(label, [(f, f) for f in FAMILIES[self.kind]])
        if name.endswith("_s"):
            return text_field(label, help_text=optional, placeholder="45 min, 4 h, 3 d")
        if name == "key":
            return text_field(label, help_text=_("Small letters, digits and hyphens"), autocomplete="off")
        if name == "name":
            return text_field(label, help_text=_("As you say it in the shop"), autocomplete="off")
        suffix = f"°{self.person.temperature_unit}" if name.endswith("_c") else SUFFIXES.get(name, "")
        return number_field(label, help_text=optional, suffix=suffix)


@owner
@require_safe
def sheets(request: SignedIn) -> HttpResponse:
    kinds = [(kind, list(newest(kind).values())) for kind in SHEET_KINDS]
    return render(request, "web/stock/sheets.html", {"kinds": kinds})


@owner
@require_http_methods(["GET", "POST"])
def sheet(request: SignedIn, kind: str, key: str) -> HttpResponse:
    """Show a product's numbers; saving stores its next version."""
    return _entry(request, kind, _known(kind, key), new=False)


@owner
@require_http_methods(["GET", "POST"])
def new_sheet(request: SignedIn, kind: str, key: str) -> HttpResponse:
    """Start a product of the shop's own from the numbers of another."""
    return _entry(request, kind, _known(kind, key), new=True)


@owner
@require_http_methods(["GET", "POST"])
def new_wood(request: SignedIn) -> HttpResponse:
    """Enter a wood outside the table by the figures of a published sheet."""
    return _entry(request, Sheet.Kind.WOOD, None, new=True)


def _known(kind: str, key: str) -> Product:
    if kind not in SHEET_KINDS:
        allowed = ", ".join(SHEET_KINDS)
        raise NotFound(_("no such kind of sheet"), field="kind", value=kind[:20], allowed=allowed)
    return product(kind, key)


def _entry(request: SignedIn, kind: str, base: Product | None, *, new: bool) -> HttpResponse:
    before = _typed(base, request.user) if base else {"oily": "no"}
    if new:
        before |= {"key": "", "name": ""}
    seen = 0 if new or base is None else base.version
    form = SheetForm(request.POST or None, kind=kind, person=request.user, new=new, seen=seen, initial=before)
    says = _("%(name)s is version %(version)s.")
    return command_page(
        request, form, lambda call, **asked: _set(call, form, base, asked, before, new=new),
        lambda first: (
            says % {"name": first.data["data"]["name"], "version": first.data["version"]}, "web:sheets"
        ),
        "web/stock/sheet.html",
        lambda: {
            "base": base, "kind": kind, "new": new,
            "sources": [(LABELS.get(name, name), text) for name, text in base.entry.source.items()]
            if base else [],
        },
    )  # fmt: skip


def _set(
    call: CommandContext,
    form: SheetForm,
    base: Product | None,
    asked: dict[str, Any],
    before: dict[str, str],
    *,
    new: bool,
) -> CommandResult:
    """Store the sheet as typed; an untouched figure keeps its source."""
    origin = asked.pop("origin")
    if not origin and form.kind == Sheet.Kind.WOOD:
        says, allowed = _("a wood's figures need their source"), _("the sheet that they stand on")
        raise Invalid(says, field="origin", value="", allowed=allowed)
    origin = origin or OWN_SHEET
    key = asked.pop("key") if new or base is None else base.key
    if new and any(key in newest(kind) for kind in SHEET_KINDS):
        raise Invalid(_("there is a sheet of this name"), field="key", value=key, allowed=_("another name"))
    points = _points(asked.pop("points", ""), form.person)
    untouched = {n for n, v in asked.items() if v == before.get(n)} if base else set()
    held = vars(base.entry) if base else {}
    data = {n: held[n] if n in untouched else _read(n, v, form.person) for n, v in asked.items()}
    old = base.entry.source if base else {}
    source = {n: old.get(n, OWN_SHEET) if n in untouched else origin for n in data}
    return set_sheet(call, kind=form.kind, key=key, data={**data, "source": source, "points": points})


def _read(name: str, text: str, person: Person) -> Any:
    if name in YES_NO:
        return text == "yes"
    if name == "elasticity_mpa" and text:
        return modulus_mpa(text)
    if name.endswith("_c") and text:
        return parse_temperature(text, unit=person.temperature_unit, field=name)
    return text


def _typed(base: Product, person: Person) -> dict[str, str]:
    """Return a sheet as this person would have typed its form."""
    typed = {n: _words(n, value, person) for n, value in vars(base.entry).items() if n != "source"}
    unit = person.temperature_unit
    lines = [
        ", ".join((p.step.replace("_", " "), format_temperature(p.temp_c, unit), format_duration(p.time_s)))
        for p in base.points
    ]
    return {**typed, **({"points": "\n".join(lines)} if base.wood is None else {})}


def _points(text: str, person: Person) -> list[dict[str, str]]:
    """Return the points, one from each typed line."""
    points = []
    for line in filter(None, map(str.strip, text.splitlines())):
        parts = [part.strip() for part in line.split(",")]
        if len(parts) != len(POINT):
            raise Invalid(_("not a point"), field="points", value=line[:60], allowed="unclamp, 60 F, 7 h")
        temp_c = parse_temperature(parts[1], unit=person.temperature_unit, field="points")
        points.append(dict(zip(POINT, (parts[0].replace(" ", "_"), str(temp_c), parts[2]), strict=True)))
    return points


def _words(name: str, value: Any, person: Person) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name == "elasticity_mpa":
        return f"{value} MPa"
    if name.endswith("_s"):
        return format_duration(value)
    if name.endswith("_c"):
        return format_temperature(value, person.temperature_unit).split()[0]
    return number_words(value) if isinstance(value, Decimal) else str(value)
