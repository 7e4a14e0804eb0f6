"""The inputs of a piece: parsed from typed values, and the choices that they make for its route."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from calcs.kit.amounts import parse_percent
from calcs.kit.length_reading import parse_length
from calcs.kit.typed import plain_whole
from calcs.kit.units import inches
from jobs.core.errors import Invalid
from jobs.core.units import Units, echo
from jobs.domain.checks import in_range, no_others, one_of
from jobs.domain.pieces.extra_inputs import (
    EXTRA_CHOICES,
    EXTRA_DEFAULTS,
    EXTRA_FIELDS,
    EXTRA_LENGTHS,
    read_extras,
)
from jobs.domain.routes import Choices, Clamping, Route, route
from jobs.domain.stock.product_sheets import Product, newest, product
from jobs.domain.stock.woods import wood_named
from jobs.models import Sheet

CHOICES: dict[str, tuple[str, ...]] = {
    "cut": ("flatsawn", "quartersawn"),
    "ring_direction": ("best face", "alternating", "all heart up"),
    "edge_profile": ("square", "eased", "rounded over", "bevelled", "bullnose"),
    "joinery": ("biscuits", "dowels", "loose tenons", "plain glued"),
    "mark": ("none", "before finishing", "after finishing"),
    "prefer": ("either", "odd", "even"),
    **EXTRA_CHOICES,
}
LENGTHS: dict[str, tuple[int, int]] = {
    "length": (inches(2), inches(360)),
    "width": (inches(1), inches(120)),
    "thickness": (inches("1/8"), inches(10)),
    "widest_strip": (inches(1), inches(24)),
    "board_width": (inches(2), inches(40)),
    "board_length": (inches(12), inches(360)),
    "trim_length": (0, inches(12)),
    "trim_width": (0, inches(12)),
    **EXTRA_LENGTHS,
}
"""Least and most of each length a piece takes [1/8 µm]: what fits a shop, common practice, no source."""
DEFAULT_LENGTHS: dict[str, int] = {
    "widest_strip": inches("13/2"),
    "board_width": inches(7),
    "trim_length": inches(2),
    "trim_width": 0,
}
"""Common practice, no source; see ``calcs.lumber``. The usual strip is the widest that the usual board gives
with straight edges, to the half inch. Narrower strips would need more boards."""
COUNTS: dict[str, tuple[int, int]] = {"quantity": (1, 100), "sealing_coats": (1, 6), "build_coats": (0, 12)}
DEFAULTS: dict[str, Any] = {
    "cut": "flatsawn",
    "ring_direction": "best face",
    "edge_profile": "eased",
    "joinery": "biscuits",
    "mark": "none",
    "prefer": "either",
    "glue": "pva",
    **EXTRA_DEFAULTS,
}
USUAL_FINISH: dict[bool | None, str] = {None: "water-borne", True: "water-borne", False: "hard-wax-oil"}
"""Default finish of a piece, by whether its route is for a finish that leaves a film. Common practice, no
source."""
ISOCYANATES = ("polyurethane", "two-part")
MOST_OWN_STAGES, LONGEST_OWN_TITLE = 60, 120
FIELDS = (
    "label",
    "route",
    "species",
    "stiffeners",
    "waste_pct",
    "glue",
    "finish_face",
    "finish_under",
    "stages",
    *LENGTHS,
    *COUNTS,
    *CHOICES,
    *(name for name in EXTRA_FIELDS if name not in (*LENGTHS, *CHOICES)),
)


def read_inputs(
    asked: Mapping[str, Any], units: Units, before: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return the inputs of a piece from typed values, over the earlier ones, over the defaults.

    A length may be text in the person's unit or a whole number of 1/8 µm. A blank field takes its default, or
    is refused where the route needs it. Fields not given stay.
    """
    no_others(asked, FIELDS, "a piece has no such field")
    given = {k: v for k, v in asked.items() if v is not None and v != ""}
    inputs = _without_emptied(before or {}, {k for k, v in asked.items() if v == ""})
    taken = route(str(given.get("route", inputs.get("route", "edge-glued-film"))))
    inputs["route"] = taken.key
    for name in LENGTHS:
        _read_length(name, given, inputs, units, taken)
    for name, allowed in CHOICES.items():
        inputs[name] = _choice(name, given.get(name, inputs.get(name, DEFAULTS[name])), allowed)
    _read_products(given, inputs, taken)
    for name in COUNTS:
        _read_count(name, given, inputs)
    _read_rest(given, inputs, taken)
    read_extras(given, inputs, units)
    return inputs


def _without_emptied(before: Mapping[str, Any], emptied: set[str]) -> dict[str, Any]:
    """Return the earlier inputs without the emptied ones and those that depend on them.

    The caller reads those as if new.
    """
    if before and "route" in emptied:
        raise Invalid("a piece needs a route", field="route", value="", allowed="a route")
    if "finish_face" in emptied:
        emptied = {*emptied, "sealing_coats", "build_coats"}
    gone = emptied | {f"{name}{end}" for name in emptied for end in ("_len", "_kg")}
    typed = {k: v for k, v in before.get("typed", {}).items() if k not in emptied}
    return {**{k: v for k, v in before.items() if k not in gone}, "typed": typed}


def _read_length(
    name: str, given: Mapping[str, Any], inputs: dict[str, Any], units: Units, taken: Route
) -> None:
    least, most = LENGTHS[name]
    stored = f"{name}_len"
    if name in given:
        text = given[name]
        length = parse_length(str(text), unit=units.length, field=name, least=least, most=most)
        inputs[stored], inputs["typed"][name] = length.units, echo(length)
    elif inputs.get(stored) is None:
        if name in taken.needs:
            raise Invalid(f"this route needs a {name}", field=name, value="", allowed="a length")
        inputs[stored] = DEFAULT_LENGTHS.get(name)


def _choice(name: str, value: Any, allowed: Sequence[str]) -> str:
    one_of(value, allowed, field=name, shown=60)
    return str(value)


def _read_products(given: Mapping[str, Any], inputs: dict[str, Any], taken: Route) -> None:
    def read(name: str, kind: str, default: str) -> None:
        key = str(given.get(name, inputs.get(name, default)))
        _named(name, lambda: product(kind, key))
        inputs[name] = key
        if kind == Sheet.Kind.FINISH and taken.film is not None:
            _refuse_unless_film(name, key, taken)

    read("glue", Sheet.Kind.GLUE, DEFAULTS["glue"])
    read("finish_face", Sheet.Kind.FINISH, USUAL_FINISH[taken.film])
    read("finish_under", Sheet.Kind.FINISH, inputs["finish_face"])


def _refuse_unless_film(name: str, key: str, taken: Route) -> None:
    """Refuse a finish that leaves a film on a route for wiped finishes, and the reverse."""
    finishes = {k: p.finish for k, p in newest(Sheet.Kind.FINISH).items() if p.finish}
    if finishes[key].film != taken.film:
        raise Invalid(
            "this route is for a finish that leaves a film"
            if taken.film
            else "this route is for a finish that is wiped off and leaves no film",
            field=name,
            value=key,
            allowed=", ".join(k for k, f in finishes.items() if f.film == taken.film),
        )


def _named(field: str, find: Callable[[], Any]) -> Any:
    """Call ``find``; a refusal names the field that was typed."""
    try:
        return find()
    except Exception as refused:
        if hasattr(refused, "field"):
            refused.field = field
        raise


def _read_count(name: str, given: Mapping[str, Any], inputs: dict[str, Any]) -> None:
    least, most = COUNTS[name]
    changed = name != "quantity" and "finish_face" in given
    value = given.get(name, None if changed else inputs.get(name))
    if value is None:
        sheet = product(Sheet.Kind.FINISH, inputs["finish_face"]).finish
        value = 1 if name == "quantity" else getattr(sheet, name)
    number = plain_whole(value)
    if number is None or not least <= number <= most:
        raise Invalid(
            f"{name.replace('_', ' ')} cannot be {str(value)[:40]}",
            field=name,
            value=str(value)[:40],
            allowed=f"{least} to {most}",
        )
    inputs[name] = number


def _read_rest(given: Mapping[str, Any], inputs: dict[str, Any], taken: Route) -> None:
    if "species" in given:
        inputs["species"] = wood_named(str(given["species"]))
    elif inputs.get("species") is None:
        if "species" in taken.needs:
            raise Invalid(
                "this route needs a species", field="species", value="", allowed="a species of the table"
            )
        inputs["species"] = None
    usual = taken.figures("stiffening", always=True)
    inputs["stiffeners"] = _yes("stiffeners", given.get("stiffeners", inputs.get("stiffeners", usual)))
    if "waste_pct" in given:
        inputs["waste_pct"] = parse_percent(str(given["waste_pct"]), field="waste_pct", least="0", most="100")
    inputs.setdefault("waste_pct", None)


def _yes(field: str, value: Any) -> bool:
    words = {True: True, False: False, "yes": True, "no": False, "true": True, "false": False, "on": True}
    if value not in words:
        raise Invalid("answer yes or no", field=field, value=str(value)[:40], allowed="yes, no")
    return words[value]


def own_titles(asked: Mapping[str, Any]) -> tuple[str, ...] | None:
    """Return the maker's own list of stages, given as a list or lines of text; None when not given."""
    stages = asked.get("stages")
    if stages is None:
        return None
    if stages == "":
        return ()
    lines = stages.splitlines() if isinstance(stages, str) else [str(s) for s in stages]
    titles = tuple(line.strip() for line in lines if line.strip())
    in_range(len(titles), 1, MOST_OWN_STAGES, "an own list needs stages", field="stages")
    for title in titles:
        if len(title) > LONGEST_OWN_TITLE:
            allowed = f"up to {LONGEST_OWN_TITLE} characters"
            raise Invalid("too long", field="stages", value=title[:60], allowed=allowed)
    return titles


def products_for(kind: str, inputs: Mapping[str, Any]) -> list[Product]:
    """Return the products of a piece: one glue; one finish, or two where the sides differ."""
    names = ("glue",) if kind == "glue" else ("finish_face", "finish_under")
    keys = dict.fromkeys(inputs[name] for name in names if inputs.get(name))
    return [product(kind, key) for key in keys]


def choices_for(
    inputs: Mapping[str, Any], own: tuple[str, ...], clampings: tuple[Clamping, ...] = ()
) -> Choices:
    """Return the facts, counts and clampings that decide the stages of a piece."""
    finishes = [p.finish for p in products_for("finish", inputs) if p.finish]
    families = {p.sheet.family for kind in ("glue", "finish") for p in products_for(kind, inputs)}
    facts = {
        "stiffeners": inputs["stiffeners"],
        "water_borne": any(f.water_borne for f in finishes),
        "self_heating": any(f.self_heating for f in finishes),
        "isocyanates": bool(families & set(ISOCYANATES)),
        "mark_before": inputs["mark"] == "before finishing",
        "mark_after": inputs["mark"] == "after finishing",
    }
    counts = {name: inputs[name] for name in ("sealing_coats", "build_coats")}
    return Choices(
        facts=frozenset(f for f, holds in facts.items() if holds),
        counts=counts,
        own=own,
        clampings=clampings,
    )
