"""Every calculation of a piece, run on its inputs: results with sources, or why there is none.

Results are plain values for the event. Lengths stay integers under keys ending in ``_len``; decimals become
text.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, is_dataclass
from functools import cached_property
from typing import Any

from django.utils.translation import gettext_noop as _

from calcs import catalogue
from calcs.asking.figure_lists import Titled, Titles, asked_by, found_by, names_of_money, titles_of
from calcs.asking.figures import Figure
from calcs.curing.curing import coat_times, glue_times
from calcs.finish.finish_job import finishing
from calcs.finish.finishing import coats
from calcs.kit.errors import CalcError
from calcs.wood.season_change import season_change
from jobs.core.canonical_json import plain
from jobs.domain.pieces import joints, lumber, structure, surfaces
from jobs.domain.pieces.context import SIZES, CalculationContext, result_record, subject_of
from jobs.models import Piece

TOP = (*SIZES, "species")
RECORDED = {
    "sheet_version": Titled(name="sheet_version", figure=Figure("Version of the sheet"), inner={}),
}
"""Inputs that a record keeps beside those that a calculation asks for."""


@dataclass(frozen=True, kw_only=True)
class PieceCalculation:
    """A calculation of the catalogue that runs on every piece.

    ``run`` returns the value that the calculation asks for, or its whole record where more goes into it; None
    where it does not apply. It is called when the piece has the inputs that ``needs`` names. ``answers`` are
    the functions whose results the record holds, where that is not the catalogue's alone. ``sheet`` is its
    name on the job sheet, empty where it has no place there. ``page_title`` and ``sheet_title`` are titles
    that differ from the catalogue's. An ``optional`` one is only for pieces that tell what it needs: where it
    was not made nothing is said of it.
    """

    name: str
    needs: tuple[str, ...]
    run: Callable[[CalculationContext], Any]
    answers: tuple[Callable[[Any], Any], ...] = ()
    page_title: str = ""
    sheet: str = ""
    sheet_title: str = ""
    optional: bool = False

    def record(self, piece: CalculationContext) -> dict[str, Any] | None:
        """Return inputs, result, notes and sources in stored form; None where it does not apply.

        Raises
        ------
        CalcError
        """
        made = self.run(piece)
        return result_record(made, self._answers[0](made)) if is_dataclass(made) else made

    @property
    def title(self) -> str:
        return self.page_title or catalogue.CALCULATIONS[self.name].title

    @property
    def heading(self) -> str:
        """Return the title of its section of the job sheet."""
        return self.sheet_title or catalogue.CALCULATIONS[self.name].title

    @cached_property
    def figures(self) -> Titles:
        """Return the figures that its record may hold."""
        return _all_of(titles_of(found_by(answer)) for answer in self._answers)

    @cached_property
    def inputs(self) -> Titles:
        """Return the inputs that its record may hold."""
        return {**_all_of(titles_of(asked_by(answer)) for answer in self._answers), **RECORDED}

    @property
    def _answers(self) -> tuple[Callable[[Any], Any], ...]:
        return self.answers or (catalogue.CALCULATIONS[self.name].answer,)


def _all_of(each: Iterable[Titles]) -> Titles:
    """Return the figures of several results; the first that has a name gives its title."""
    found: dict[str, Titled] = {}
    for titles in each:
        found |= {name: titled for name, titled in titles.items() if name not in found}
    return found


CALCULATIONS: Mapping[str, PieceCalculation] = {
    c.name: c
    for c in (
        PieceCalculation(name="lumber", needs=SIZES, run=lumber.lumber, sheet="lumber"),
        PieceCalculation(
            name="layout",
            needs=("length_len", "width_len"),
            run=lumber.layout,
            sheet="rip_list",
            sheet_title="Rip list",
        ),
        PieceCalculation(name="joinery", needs=SIZES, run=joints.joinery, sheet="slots", sheet_title="Slots"),
        PieceCalculation(
            name="gluing", needs=SIZES, run=joints.glue_lines, sheet="glue", sheet_title="Glue-up"
        ),
        PieceCalculation(
            name="curing",
            needs=("glue",),
            run=joints.curing,
            answers=(glue_times,),
            page_title=_("Glue"),
            sheet="glue_times",
            sheet_title="Times of the glue",
        ),
        PieceCalculation(name="clamping", needs=TOP, run=joints.clamps, sheet="clamps"),
        PieceCalculation(name="stiffening", needs=TOP, run=surfaces.stiffeners, sheet="stiffeners"),
        PieceCalculation(name="breadboard", needs=TOP, run=structure.breadboard_ends, sheet="breadboard"),
        PieceCalculation(name="sanding", needs=SIZES, run=surfaces.grits, sheet="sanding"),
        PieceCalculation(
            name="finishing",
            needs=SIZES,
            run=surfaces.finish,
            answers=(coats, coat_times, finishing),
            sheet="coats",
            sheet_title="Coats",
        ),
        PieceCalculation(
            name="movement",
            needs=("width_len", "species"),
            run=lumber.movement,
            answers=(season_change,),
            sheet="movement",
        ),
        PieceCalculation(name="weight", needs=TOP, run=lumber.heaviness, sheet="weight"),
        PieceCalculation(name="lifting", needs=TOP, run=lumber.lifting, sheet="lifting"),
        PieceCalculation(
            name="sag", needs=(*TOP, "span_len"), run=structure.sagging, sheet="sag", optional=True
        ),
        PieceCalculation(
            name="tipping",
            needs=(*TOP, "feet_width_len"),
            run=structure.on_feet,
            sheet="tipping",
            optional=True,
        ),
        PieceCalculation(
            name="attachment",
            needs=("width_len", "species"),
            run=structure.fixings,
            sheet="fixings",
            optional=True,
        ),
        PieceCalculation(name="access", needs=SIZES, run=structure.way_in, sheet="way_in", optional=True),
        PieceCalculation(name="flips", needs=SIZES, run=surfaces.turns, sheet="turns"),
    )
}
"""In the order of the work, which pages and job sheets keep."""
PRICES = frozenset(
    name
    for one in CALCULATIONS.values()
    for name in (*names_of_money(one.inputs), *names_of_money(one.figures))
)
"""Figures of a calculation that only the owner sees."""


def without_prices(values: Any) -> Any:
    """Return results or parts of them without the figures that only the owner sees."""
    if isinstance(values, dict):
        return {name: without_prices(value) for name, value in values.items() if name not in PRICES}
    return [without_prices(value) for value in values] if isinstance(values, list) else values


def title_of(name: str) -> str:
    """Return the title of a calculation on a page; of one that runs no more its name."""
    return CALCULATIONS[name].title if name in CALCULATIONS else name.capitalize()


def figures_of(name: str) -> Titles:
    return CALCULATIONS[name].figures if name in CALCULATIONS else {}


def inputs_of(name: str) -> Titles:
    return CALCULATIONS[name].inputs if name in CALCULATIONS else {}


def compute(
    inputs: Mapping[str, Any], piece: Piece | None = None, names: Collection[str] = CALCULATIONS
) -> dict[str, Any]:
    """Return results by calculation, of all or of those named; a refused calculation says why.

    ``piece`` is the piece that is recalculated, where it exists already.
    """
    subject = subject_of(inputs, piece)
    found: dict[str, Any] = {}
    for name, one in CALCULATIONS.items():
        if name not in names or any(inputs.get(n) is None for n in one.needs):
            continue
        try:
            made = one.record(subject)
        except CalcError as refused:
            made = {
                "refused": str(refused),
                "field": refused.field,
                "value": str(refused.value),
                "allowed": refused.allowed,
            }
        if made is not None:
            found[name] = made
    return plain(found, field="computed")  # type: ignore[no-any-return]


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the figures that changed: calculation, figure, before, after."""
    changed = []
    for name in sorted(before.keys() | after.keys()):
        old, new = _flat(before.get(name, {})), _flat(after.get(name, {}))
        for figure in sorted(old.keys() | new.keys()):
            if old.get(figure) != new.get(figure):
                changed.append(
                    {
                        "calculation": name,
                        "figure": figure,
                        "before": old.get(figure),
                        "after": new.get(figure),
                    }
                )
    return changed


def _flat(kept: Mapping[str, Any]) -> dict[str, Any]:
    if "refused" in kept:
        return {"refused": kept["refused"]}
    result = kept.get("result", {})
    return {k: v for k, v in result.items() if not isinstance(v, list | dict)}
