"""Sanding of a top: grits in their order, time, discs.

Each grit takes out the scratches of the one before. A step that is too large leaves scratches, so the ratio
of grain sizes is bounded. Pace and discs are common practice, to be replaced by the shop's own.

References
----------
.. [1] ISO 6344-2 and -3 (FEPA 43-1, 43-2) and ANSI B74.18, mean grain sizes as tabulated at second hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Duration, Length, Many, Number, Whole
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.finish.grits import GRADES, grain_um, is_p, ladder_of, source_row, times_finer
from calcs.kit.errors import Unknown
from calcs.kit.rounding import places, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM, inches
from calcs.tables import PRACTICE

_SQUARE_FOOT = (12 * UNITS_PER_INCH) ** 2
_SQUARE_METRE = (1000 * UNITS_PER_MM) ** 2
DUST = (
    "wood dust: extraction on, mask on; NIOSH recommends at most 1 mg/m³ over a shift, and oak and beech dust"
    " is listed as a cause of cancer",
    "noise: hearing protection from 85 dB(A) over 8 h",
)
DUST_SOURCE = (
    "wood dust: OSHA wood dust page, ACGIH TLV as listed 2007 (read)",
    "noise: NIOSH noise page, recommended exposure limit (read)",
)


@dataclass(frozen=True, kw_only=True)
class Grit:
    """One grade of the ladder.

    Attributes
    ----------
    grade : str
        Its name.
    median_um : Decimal
        Mean grain [µm].
    ratio : Decimal or None
        How many times finer than the one before, to 0.01; None for the first.
    all_s : int
        Work [s].
    discs : int
        Discs it wears.
    """

    grade: Annotated[str, Figure("Grit")]
    median_um: Annotated[Decimal, Figure("Median", hidden=True)]
    ratio: Annotated[Decimal | None, Figure("Times finer")]
    all_s: Annotated[int, Figure("Time")]
    discs: Annotated[int, Figure("Discs")]


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A grade between the first and the last.

    Attributes
    ----------
    grade : str
        Its name.
    skipped : bool
        True where it is left out.
    why : str
        The step without it, against the limit.
    """

    grade: Annotated[str, Figure("Grit")]
    skipped: Annotated[bool, Figure("Left out")]
    why: Annotated[str, Figure("Why")]


@dataclass(frozen=True, kw_only=True)
class SandTop:
    """Faces of a top to be sanded.

    Parameters
    ----------
    length_len, width_len : int
        Finished size [1/8 µm].
    faces : int
        One or two.
    first_grit, last_grit : str
        Grades of one standard: ``P80`` is of the P standard, ``80`` of CAMI.
    grits : tuple of str, optional
        Grades in the shop; every grade of the standard by default.
    ratio_most : Decimal
        How many times finer one grade may be than the one before; 1.67 by default.
    per_ft2_s : int
        Time for one square foot with one grade [s]; the first grade takes twice as long.
    disc_area_m2 : Decimal
        Area that one disc lasts [m²].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Unknown where two standards meet in one ladder.
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480)), Figure("Length")]
    width_len: Annotated[int, Length("finished width", inches(1), inches(240)), Figure("Width")]
    faces: Annotated[int, Whole("faces", 1, 2)] = 2
    first_grit: Annotated[
        str, Choice("first grit: P80 of the P standard, 80 of CAMI", GRADES), Figure("First grit")
    ] = "P80"
    last_grit: Annotated[str, Choice("last grit, of the same standard", GRADES), Figure("Last grit")] = "P220"
    grits: Annotated[tuple[str, ...] | None, Many("grits in the shop", Choice("grit", GRADES), 2, 19)] = None
    ratio_most: Annotated[Decimal, Number("times finer in one step", "1.2", "2.5")] = Decimal("1.67")
    per_ft2_s: Annotated[int, Duration("time for a square foot with one grit", 1, 3600)] = 60
    disc_area_m2: Annotated[Decimal, Number("area one disc lasts", "0.01", "20", "m²")] = Decimal("0.93")

    def __post_init__(self) -> None:
        check(self)
        _one_standard(self.last_grit, "last_grit", self.first_grit)
        for n, grade in enumerate(self.grits or (), start=1):
            _one_standard(grade, f"grits[{n}]", self.first_grit)
        for name in ("first_grit", "last_grit"):
            grade = getattr(self, name)
            if self.grits and grade not in self.grits:
                allowed = ", ".join(self.grits)
                raise Unknown(
                    f"{name} {grade} is not among the grits in the shop: {allowed}",
                    field=name,
                    value=grade,
                    allowed=allowed,
                )
        if grain_um(self.last_grit) >= grain_um(self.first_grit):
            raise out_of_range("last_grit", self.last_grit, f"finer than {self.first_grit}")


@dataclass(frozen=True, kw_only=True)
class Sanding:
    """Ladder of grits with its work.

    Attributes
    ----------
    ladder : tuple of Grit
        Grades in order.
    between : tuple of Judged
        Each grade at hand between the first and the last.
    area_m2 : Decimal
        Area of all faces, to 0.01 [m²].
    all_s, discs : int
        Work [s] and discs in all.
    notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    ladder: Annotated[tuple[Grit, ...], Figure("Grits in order")]
    between: Annotated[tuple[Judged, ...], Figure("Grits between")]
    area_m2: Annotated[Decimal, Figure("Area")]
    all_s: Annotated[int, Figure("In all")]
    discs: Annotated[int, Figure("Discs")]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def sanding(top: SandTop) -> Sanding:
    """Return the fewest grits of one standard, no step coarser than allowed; of equal ladders the evenest.

    Parameters
    ----------
    top : SandTop
        Size [1/8 µm], grades, and pace [s].

    Returns
    -------
    Sanding

    Raises
    ------
    OutOfRange
        If two neighbouring grades in the shop are further apart than ``ratio_most``.

    Notes
    -----
    Ratio = mean grain of the coarser over that of the finer grade. Work of a grade = area x time a square
    foot, doubled for the first. Discs = area / area a disc lasts, rounded up for each grade.

    References
    ----------
    .. [1] ISO 6344-2 and -3 (FEPA 43-1, 43-2) and ANSI B74.18, mean grain sizes as tabulated at second hand.
    .. [2] Largest ratio, pace and discs: common practice, no source.

    Examples
    --------
    >>> top = SandTop(length_len=inches(60), width_len=inches(32), first_grit="P80", last_grit="P220")
    >>> [(grit.grade, grit.ratio) for grit in sanding(top).ladder]
    [('P80', None), ('P120', Decimal('1.61')), ('P150', Decimal('1.25')), ('P220', Decimal('1.47'))]
    """
    grades = _between(top)
    ladder = ladder_of(grades, Fraction(top.ratio_most))
    area = top.length_len * top.width_len * top.faces
    steps = tuple(
        _grit(top, grade, before, area) for before, grade in zip(("", *ladder), ladder, strict=False)
    )
    return Sanding(
        ladder=steps,
        between=tuple(_judged(grade, ladder, top.ratio_most) for grade in grades[1:-1]),
        area_m2=places(Fraction(area, _SQUARE_METRE), 2),
        all_s=sum(step.all_s for step in steps),
        discs=sum(step.discs for step in steps),
        notes=(
            f"{'P' if is_p(top.first_grit) else 'CAMI'} grades throughout: never mix standards",
            "the first grit takes twice as long: it takes out the marks of the machine",
            "a water-borne finish raises the grain: damp it and sand once more with the last grit",
        ),
        cautions=DUST,
        source=(
            source_row(top.first_grit).source,
            f"at most {top.ratio_most} times finer a step, pace, discs, re-sanding: {PRACTICE}",
            *DUST_SOURCE,
        ),
    )


def _one_standard(grade: str, field: str, first: str) -> None:
    """Refuse a grade of another standard than the first; the error names the nearest one of that standard."""
    if is_p(grade) == is_p(first):
        return
    near = min(
        (g for g in GRADES if is_p(g) == is_p(first)), key=lambda g: abs(grain_um(g) - grain_um(grade))
    )
    said = f"{near} ({grain_um(near)} µm), nearest to {grade} ({grain_um(grade)} µm)"
    raise Unknown(
        f"{field} {grade} and first_grit {first} are of two standards, P and CAMI: keep to one; {said}",
        field=field,
        value=grade,
        allowed=said,
    )


def _between(top: SandTop) -> tuple[str, ...]:
    """Return the grades at hand from the first to the last, coarse to fine."""
    coarse, fine = GRADES.index(top.first_grit), GRADES.index(top.last_grit)
    return tuple(g for g in GRADES[coarse : fine + 1] if top.grits is None or g in top.grits)


def _grit(top: SandTop, grade: str, before: str, area: int) -> Grit:
    """Return one grade with its ratio, work [s] and discs."""
    work = Fraction(area * top.per_ft2_s, _SQUARE_FOOT) * (1 if before else 2)
    return Grit(
        grade=grade,
        median_um=grain_um(grade),
        ratio=places(times_finer(before, grade), 2) if before else None,
        all_s=up(work),
        discs=up(Fraction(area, _SQUARE_METRE) / Fraction(top.disc_area_m2)),
    )


def _judged(grade: str, ladder: Sequence[str], most: Decimal) -> Judged:
    """Return why a grade is kept or left out: the step without it, against the limit."""
    kept = grade in ladder
    place = GRADES.index(grade)
    before = max((g for g in ladder if GRADES.index(g) < place), key=GRADES.index)
    after = min((g for g in ladder if GRADES.index(g) > place), key=GRADES.index)
    times = places(times_finer(before, after), 2)
    step = f"from {before} ({grain_um(before)} µm) to {after} ({grain_um(after)} µm) is {times} times finer"
    why = f"{step}, over {most}" if kept else f"{step}, within {most}"
    return Judged(grade=grade, skipped=not kept, why=f"without it, {why}" if kept else why)
