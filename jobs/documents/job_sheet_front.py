"""The first page of a job sheet: what is made, of what, and how it is cut."""

from collections.abc import Iterator, Mapping
from typing import Any

from calcs.handling.lifting import carried_by
from calcs.lumber.boards import bought_words
from calcs.lumber.layout import Layout
from calcs.lumber.lumber import LumberNeed
from jobs.documents.job_sheet_cells import Block, counted, listed, notes_for_hands, number, sentence
from jobs.documents.job_sheet_results import Results, Sheet, notes_of, why_not
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.documents.kit.wording import clean

ONE_COLUMN = 10
"""Rows that stand in one column of the cut list; more of them take three, without the length of all."""
COLUMNS = 3
ON_THEIR_OWN = ("underside", "breadboard")
"""Drawings that are printed from the drawings of the piece."""


def about(sheet: Sheet, results: Results) -> str:
    """Return wood, edge, joints, glue and finish in one line."""
    edge = f"{sheet['edge_profile']} edge".replace("bevelled", "beveled") if sheet["edge_profile"] else ""
    ends = "breadboard ends" if results.breadboard else ""
    told = (sheet["species"], edge, ends, sheet["joinery"], *sheet["products"])
    return sentence(listed(clean(text) for text in told if text))


def facts(sheet: Sheet, results: Results, sizes: Sizes) -> list[tuple[str, str]]:
    """Return what the bench has to know of the piece before it begins."""
    lumber, weight = results.lumber, results.weight
    told = [
        ("Pieces", f"{sheet['quantity']} alike" if sheet["quantity"] > 1 else ""),
        ("Stock", _stock(lumber, sizes) if lumber else ""),
        ("Volume", f"{number(lumber.buy_bf)} board ft to buy" if lumber and sizes.unit == "in" else ""),
        ("Mill to", f"{sizes.bench(lumber.hand_len)} at least, rough" if lumber else ""),
        ("Weight", f"{_weight(weight.each_lb, weight.each_kg, sizes)} each" if weight else ""),
        ("Lifted by", _carried(results, sizes)),
        ("Drawings", listed(f"{view} drawing" for view in sheet.get("views", []) if view in ON_THEIR_OWN)),
        ("Sizes", sizes.unit_name),
    ]
    return [(name, text) for name, text in told if text]


def _stock(lumber: LumberNeed, sizes: Sizes) -> str:
    """Return rough thickness and boards, as a yard of that system names them."""
    if sizes.unit == "in":
        return f"{lumber.quarters}, {sizes.text(bought_words(lumber.to_buy))}"
    boards = (f"{counted(row.count, 'board')} {sizes.bench(row.length_len)} long" for row in lumber.to_buy)
    return listed((sizes.bench(lumber.rough_len), *boards))


def _weight(pounds: Any, kilograms: Any, sizes: Sizes) -> str:
    """Return a weight that is kept in both units, so that none is rounded twice."""
    return f"{pounds}{NBSP}lb" if sizes.unit == "in" else f"{kilograms}{NBSP}kg"


def _carried(results: Results, sizes: Sizes) -> str:
    lifting = results.lifting
    if lifting is None:
        return ""
    most = _weight(lifting.team_limit_lb, lifting.team_limit_kg, sizes)
    if lifting.people is None:
        return f"{carried_by(None).capitalize()}; three people may lift {most}"
    team = f", up to {most}" if lifting.people > 1 else ""
    return f"{carried_by(lifting.people).capitalize()}{team}"


def cut_list(sheet: Sheet, results: Results, sizes: Sizes) -> dict[str, Any] | None:
    """Return the strips and ends to cut, in one column or three; what is alike for all is said once."""
    layout = results.rip_list
    if layout is None:
        return None
    count = len(layout.strips) + len(layout.ends)
    columns = 1 if count <= ONE_COLUMN else COLUMNS
    varied = columns == 1 and len({strip.rings for strip in layout.strips}) > 1
    named = any(strip.origin for strip in layout.strips)
    head = ["Strip", "Rip to", *(["Cut to"] if columns == 1 else []), "Slots in"]
    rows = [
        [
            label, width, *([cut] if columns == 1 else []), edges, *([rings] if varied else []),
            *([board] if named else []),
        ]
        for label, width, cut, edges, rings, board in _rows(layout, results, sizes)
    ]  # fmt: skip
    many = -(-count // columns)
    return {
        "head": [*head, *(["Rings"] if varied else []), *(["From"] if named else [])],
        "columns": [rows[n : n + many] for n in range(0, count, many)],
        "lines": _cutting(layout, results, sizes, told_rings=not varied),
    }


def _rows(layout: Layout, results: Results, sizes: Sizes) -> Iterator[tuple[str, ...]]:
    """Yield label, width, length, edges with slots, rings and board of each strip and end."""
    edges = {one.label: one.edges for one in results.slots.edges} if results.slots else {}
    length = sizes.bench(layout.blank_len, "up")
    for strip in layout.strips:
        width = sizes.joint(strip.width_len, "up")
        yield strip.label, width, length, edges.get(strip.label) or "none", strip.rings, clean(strip.origin)
    for end in layout.ends:
        yield end.label, sizes.joint(end.width_len, "up"), sizes.bench(end.cut_len, "up"), "mortise", "", ""


def _cutting(layout: Layout, results: Results, sizes: Sizes, *, told_rings: bool) -> list[tuple[str, str]]:
    """Return what holds for all strips."""
    lumber = results.lumber
    thinner = lumber is not None and lumber.thinner_len
    ends = f", ends {sizes.bench(layout.ends[0].cut_len, 'up')}" if layout.ends else ""
    rings = dict.fromkeys(strip.rings for strip in layout.strips)
    told = [
        (
            "Cut to",
            f"{sizes.bench(layout.blank_len, 'up')}{ends}; side by side {sizes.bench(layout.sum_len)}",
        ),
        ("Rings", "; ".join(rings) if told_rings else ""),
        ("Planing", layout.planing),
        ("Witness", layout.witness),
        ("Thickness", _thinner(results, sizes) if thinner else ""),
        ("Then", "; ".join(lumber.to_do) if lumber else ""),
    ]
    return [(name, sentence(sizes.text(text))) for name, text in told if text]


def _thinner(results: Results, sizes: Sizes) -> str:
    lumber = results.lumber
    assert lumber is not None
    thick, less, takes = (
        sizes.joint(lumber.finished_len, "down"), sizes.joint(lumber.thinner_len, "up"),
        sizes.joint(lumber.flattening_len, "up"),
    )  # fmt: skip
    return f"comes out only {thick}, {less} less than asked: flattening takes {takes}"


def slots(sheet: Mapping[str, Any], results: Results, sizes: Sizes) -> Block | None:
    """Return joiner, slot, rows and places, or why there are none."""
    found = results.slots
    if found is None:
        why = why_not(sheet, "slots")
        return Block(title="Slots", lines=(("None", sentence(sizes.text(why))),)) if why else None
    along = found.along_len if found.slot_len is None else found.slot_len
    return Block(
        title="Slots",
        lines=(
            ("Joiner", f"{found.joiner}; {found.pieces} in {found.joints} joints, have {found.buy} at hand"),
            ("Each slot", f"{sizes.joint(along, 'up')} along, {sizes.joint(found.depth_len)} into each edge"),
            ("Rows", f"{listed(sizes.joint(row) for row in found.rows_len)} from the show face"),
            ("Middles", f"{listed(sizes.joint(at) for at in found.positions_len)} from the finished end"),
        ),
        notes=notes_for_hands(notes_of(sheet, "slots"), sizes),
    )
