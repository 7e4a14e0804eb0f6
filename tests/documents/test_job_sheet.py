"""The job sheet: two pages a piece, one unit, all that is built from it, each figure from its own field."""

import ast
import re
from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import get_args, get_type_hints

import pytest

from calcs.asking.figure_lists import found_by
from jobs.documents import job_sheet_front, job_sheet_work
from jobs.documents.job_sheet_results import WITHIN, Results
from jobs.documents.render import _print, draft
from jobs.domain.pieces.calculations import CALCULATIONS
from jobs.domain.pieces.surfaces import CoatPlan
from tests.documents.reading import pages, words
from tests.documents.shop import a_shop
from tests.needs import needs
from tests.shop_fixtures import TOP, Work, a_piece

pytestmark = [needs("weasyprint"), pytest.mark.django_db, pytest.mark.takes(25)]
LARGE = {"length": "98", "width": "40", "thickness": "1 3/4"}
NARROW = {"widest_strip": "3"}
TOPS = {
    "two strips": {**TOP, "width": "12", "joinery": "plain glued"},
    "dowels": {**TOP, "joinery": "dowels"},
    "tenons": {**TOP, **LARGE, "joinery": "loose tenons"},
    "biscuits, oil": {**TOP, **LARGE, "route": "edge-glued-oil"},
    "18 strips": {**TOP, **NARROW, "length": "120", "width": "54"},
    "ends": {**TOP, **LARGE, "thickness": "1 1/2", "route": "edge-glued-breadboard"},
    "ends on 12 strips": {
        **TOP,
        **LARGE,
        "widest_strip": "4",
        "width": "48",
        "route": "edge-glued-breadboard",
    },
    "stiffeners": {**TOP, **LARGE, "width": "44", "stiffeners": True, "route": "edge-glued-stiffened"},
    "sub-assemblies": {**TOP, **LARGE, "route": "edge-glued-sub-assemblies"},
}
DRAWN_APART = ("18 strips", "ends", "ends on 12 strips", "stiffeners")
"""Tops of which two pages leave no room for a drawing that can be read."""
SHORT_RUN = ("18 strips", "ends on 12 strips", "stiffeners")
SHEETS = [
    pytest.param(name, units, size, marks=[] if name in SHORT_RUN and (units, size) in (
        ("in", "letter"), ("mm", "A4")) else pytest.mark.long)
    for name in TOPS for units in ("in", "mm") for size in ("letter", "A4")
]  # fmt: skip


def sheet_of(work: Work, number: str) -> bytes:
    return draft(commission=number, kind="job-sheet", now=work.now)


@pytest.mark.parametrize(("name", "units", "size"), SHEETS)
def test_a_piece_takes_two_pages_in_one_unit(name: str, units: str, size: str):
    work = a_shop(paper_size=size, paper_units=units)
    made = sheet_of(work, work.accepted(**TOPS[name]).commission.number)
    each = pages(made)
    assert len(each) == 2 or name in DRAWN_APART
    for page in each[2:]:
        assert "Drawings of" in each[2] and "Cut list" not in page and "Checks" not in page
    if len(each) > 2:
        assert len(each) == 3 and "Glue-up,showfaceup" in each[2].replace(" ", "")
    told = words(made)
    wrong = r"\bmm\b|\bkg\b|\bmL\b|°C" if units == "in" else r"\d\"|\d/\d|\blb\b|fl oz|°F|\bqt\b|\bft\b"
    assert not re.findall(wrong, re.sub(r"\d/4,|\d/4 at|loose tenon \S+|dowel \S+", "", told))
    assert "≈" not in told
    for part in ("Cut list", "Glue-up sessions", "Sanding and coats", "Checks", "Lifting.", "For next time"):
        assert part in told, part
    assert "Where the figures come from" not in told and "common practice" not in told


def test_two_pieces_take_four_pages_and_sources_are_an_appendix():
    work = a_shop(job_sheet_sources="yes")
    piece = work.accepted(**TOPS["dowels"])
    a_piece(work.call(), piece.commission, **{**TOPS["dowels"], "label": "Second top"})
    each = pages(sheet_of(work, piece.commission.number))
    assert [n for n, page in enumerate(each, 1) if "Second top" in page] == [3]
    assert "Where the figures come from" in each[4]


# Rounding by hand: a joint to 1/64 in or 0.5 mm, up, down or to the nearest; the bench to 1/16 in or 1 mm.
STEPS = {("in", "joint"): Fraction(25400, 8), ("mm", "joint"): Fraction(4000)}
STEPS |= {("in", "bench"): Fraction(203200, 16), ("mm", "bench"): Fraction(8000)}


def rounded(units: str, kind: str, length_len: int, way: str = "near") -> str:
    step = STEPS[units, kind]
    share = length_len / step
    steps = {"near": int(share + Fraction(1, 2)), "down": share // 1, "up": -(-share // 1)}[way]
    if units == "mm":
        return f"{float(steps * step / 8000):g}"
    whole, part = divmod(Fraction(steps * step, 203200), 1)
    return f"{whole} {part}" if whole and part else f"{part or whole}"


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_breadboard_end_can_be_built_from_its_sheet(units: str):
    """The text holds each figure of the calculation, beside the word that says what it is."""
    work = a_shop(paper_units=units)
    piece = work.accepted(**TOPS["ends"])
    told = words(sheet_of(work, piece.commission.number))
    found = piece.computed["breadboard"]["result"]

    def joint(name: str, way: str = "near") -> str:
        return rounded(units, "joint", found[name], way)

    def bench(length_len: int) -> str:
        return rounded(units, "bench", length_len)

    thick, glued = joint("tongue_thick_len", "down"), found["glued_to_len"] - found["glued_from_len"]
    panel = piece.inputs["length_len"] - 2 * found["end_wide_len"]
    for line in (
        f"Ends 2, each {bench(found['end_len'])} long, {bench(found['end_wide_len'])} wide,"
        f" {joint('end_thick_len')} thick, flush {found['flush']}",
        f"Panel {bench(panel)} from shoulder to shoulder",
        f"Tongue {joint('tongue_len', 'down')} long, {joint('tongue_deep_len', 'down')} deep, {thick} thick;"
        f" {joint('clearance_len', 'up')} free at either end",
        f"Mortise {joint('mortise_len', 'up')} long, {joint('mortise_deep_len', 'up')} deep, {thick} wide",
        f"Glue only from {joint('glued_from_len', 'up')} to {joint('glued_to_len', 'down')} from the"
        f" left edge, {rounded(units, 'joint', glued, 'down')} long; it holds back"
        f" {joint('held_len')} of movement",
        f"Pegs 3, ⌀ {joint('peg_len')}, {joint('peg_in_len')} from the shoulder",
        *(
            f"{n} {rounded(units, 'joint', peg['at_len'])}"
            + (
                " round"
                if peg["round"]
                else f" slot {rounded(units, 'joint', peg['slot']['slot_len'], 'up')} long"
                f" {rounded(units, 'joint', peg['slot']['inner_len'])}"
            )
            for n, peg in enumerate(found["pegs"], 1)
        ),
    ):
        assert line in told, line
    reveal = found["reveal"]
    for season, name in (("made", "when_made_len"), ("dry", "dry_len"), ("humid", "humid_len")):
        who = "end" if reveal[name] > 0 else "panel"
        proud = rounded(units, "joint", abs(reveal[name]))
        assert (
            f"{who} {proud} proud when {season}" in told if reveal[name] else f"flush when {season}" in told
        )


def test_each_place_of_the_sheet_reads_the_class_of_its_calculation():
    """So mypy refuses a name that the class lacks."""
    by_sheet = {one.sheet: {found_by(a) for a in one._answers} for one in CALCULATIONS.values()}
    for name, form in get_type_hints(Results).items():
        assert get_args(form)[0] in {*by_sheet[WITHIN.get(name, name)], CoatPlan}, name
    assert {f.name for f in fields(CoatPlan)} <= {
        f.name for f in fields(found_by(CALCULATIONS["finishing"]._answers[2]))
    }


ENDINGS = {
    "bench": "_len", "joint": "_len", "about": "_len", "_gap": "_len", "after": "_s", "by": "_s",
    "work": "_s", "temperature": "_c",
}  # fmt: skip
KEPT_IN = {"mL": "_ml", "L": "_l", "N": "_n", "kg": "_kg", "g": "_g", "kPa": "_kpa", "m²": "_m2"}
PLACES = {"at", "row", "size", "warm", "along"}
"""Names of one of a row of lengths, or of a choice between two; each is given a field of that ending."""


@pytest.mark.parametrize("module", [job_sheet_front, job_sheet_work])
def test_every_branch_writes_a_figure_in_the_unit_of_its_field(module):
    source = Path(module.__file__).read_text("utf-8")
    seen = 0
    for call in (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)):
        name = getattr(call.func, "attr", getattr(call.func, "id", ""))
        if not call.args or (name not in ENDINGS and name != "amount"):
            continue
        ending = ENDINGS.get(name) or KEPT_IN[ast.literal_eval(call.args[1])]
        used = [n.attr for n in ast.walk(call.args[0]) if isinstance(n, ast.Attribute)]
        used += [n.id for n in ast.walk(call.args[0]) if isinstance(n, ast.Name) and not used]
        assert [n for n in used if n.endswith(ending) or n in PLACES], ast.unparse(call)
        seen += 1
    assert seen >= 8, "the names of the calls changed"


def test_a_sheet_that_was_frozen_before_units_and_limits_still_prints():
    import json

    from jobs.core.canonical_json import dumps
    from jobs.domain.commissions.paper_content import job_sheet_content
    from jobs.domain.papers.letterhead import heading

    work = a_shop()
    commission = work.accepted(**TOPS["ends"]).commission
    content = {**heading(commission), **job_sheet_content(commission), "number": "", "kind": "job-sheet"}
    old = json.loads(dumps({**content, "issued_on": None}))
    for name in ("sizes", "with_sources", "look"):
        old.pop(name, None)
    for sheet in old["sheets"]:
        del sheet["weight"]
        for name in ("blank_len", "ends", "planing", "witness"):
            del sheet["rip_list"]["figures"][name]
        for name in ("slot_len", "edges"):
            del sheet["slots"]["figures"][name]
        for name in ("turns", "calendar", "least_surface_c"):
            del sheet["coats"]["figures"][name]
        for stage in sheet["checklist"]:
            del stage["measures"]
    told = words(_print("job-sheet", old, "letter"))
    assert "Cut list" in told and "Glue lot" in told and "None" not in told


def test_quantities_of_the_glue_go_up():
    """A US fluid ounce is 29.5735295625 mL (NIST SP 811, 2008, app. B); less is never given."""
    work = a_shop()
    piece = work.accepted(**TOPS["dowels"])
    told = words(sheet_of(work, piece.commission.number))
    needed = Decimal(piece.computed["gluing"]["result"]["glue_ml"]) / Decimal("29.5735295625")
    printed = Decimal(re.search(r"([\d.]+) fl oz in all", told)[1])  # type: ignore[index]
    assert needed <= printed < needed + Decimal("0.5")
