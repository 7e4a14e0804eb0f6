"""Fewest turns of a top for the work on its two faces, and the order that reaches them.

A turn is heavy and risks the show face. Each work needs one face up, either, and may have to follow others.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Annotated

from calcs.asking.field_types import Choice, Many, Number, Text
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.handling.lifting import CAUTION_SOURCE, CAUTIONS, HSE, people_for
from calcs.handling.weight_limit import NIOSH
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.kit.validators import one_of
from calcs.tables import PRACTICE
from calcs.wood.weight import LB_PER_KG

FACES = ("show", "under")
ANY = "any"
UP = (*FACES, ANY)
TOO_HEAVY = "heavier than three people may turn over: use a cart or hoist for each turn"


@dataclass(frozen=True, kw_only=True)
class FaceWork:
    """One work on a top.

    Parameters
    ----------
    what : str
        Its name.
    up : {"show", "under", "any"}
        Face that must lie up for it.
    after : tuple of str
        Works that must come before it.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    what: Annotated[str, Text("what is done")]
    up: Annotated[str, Choice("face that lies up", UP)] = ANY
    after: Annotated[tuple[str, ...], Many("after what", Text("name"), 0, 60, "+")] = ()

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class TurnOver:
    """Works on a top, in the order they are planned.

    Parameters
    ----------
    works : tuple of FaceWork
        Each after all that must come before it.
    starts, ends : {"show", "under", "any"}
        Face that lies up before the first and after the last.
    weight_kg : Decimal, optional
        Weight of the top [kg], for the people at each turn.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where two works have one name, or one is planned before a work it must follow.
    """

    works: Annotated[
        tuple[FaceWork, ...], Rows("what is done", FaceWork, 1, 60), Figure("What is done", hidden=True)
    ]
    starts: Annotated[str, Choice("face up at the start", UP)] = ANY
    ends: Annotated[str, Choice("face up at the end", UP)] = ANY
    weight_kg: Annotated[
        Decimal | None, Number("weight of the top", "0.1", "40000", "kg"), Figure("Weight")
    ] = None

    def __post_init__(self) -> None:
        check(self)
        names = [work.what for work in self.works]
        seen: set[str] = set()
        for work in self.works:
            if work.what in seen:
                raise _wrong("works", work.what, "is listed twice", "each name once")
            for before in work.after:
                one_of(before, "after", names)
                if before not in seen:
                    raise _wrong("works", work.what, f"is planned before {before}", f"after {before}")
            seen.add(work.what)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step: a work or a turn.

    Attributes
    ----------
    what : str
        The work, or "turn over".
    up : str
        Face that lies up from then on.
    turn : bool
        True for a turn.
    people : int or None
        People who turn it over; None for a work, without a weight, or where three are not enough.
    carry : str or None
        Who turns it in one line, "cart or hoist" where three are not enough; None for a work or without a
        weight.
    """

    what: Annotated[str, Figure("What")]
    up: Annotated[str, Figure("Face up", hidden=True)]
    turn: Annotated[bool, Figure("Turned over", hidden=True)]
    people: Annotated[int | None, Figure("People")]
    carry: Annotated[str | None, Figure("How")]


@dataclass(frozen=True, kw_only=True)
class Flips:
    """Turns of a top.

    Attributes
    ----------
    as_planned, fewest, saved : int
        Turns in the order planned, in the best order, and the difference.
    starts : str
        Face up at the start of the best order.
    steps : tuple of Step
        Works and turns of the best order.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    as_planned: Annotated[int, Figure("Turns, face by face in the route's order")]
    fewest: Annotated[int, Figure("Turns, at the fewest")]
    saved: Annotated[int, Figure("Saved")]
    starts: Annotated[str, Figure("Begin with this face up")]
    steps: Annotated[tuple[Step, ...], Figure("In this order")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def flips(top: TurnOver) -> Flips:
    """Return the order of works that turns a top over least often.

    Parameters
    ----------
    top : TurnOver
        Works with their faces and what must come first.

    Returns
    -------
    Flips
        Exactly the fewest turns that the order of works allows.

    Notes
    -----
    With one face up, all work that can be done is done before the top is turned. That is exact: doing a work
    sooner takes nothing from what can be done later. By induction no order has more done after the same turns
    from the same start. Both starts are tried where either may be. Turning a top once more at the end is the
    only way to change the face it ends on.

    References
    ----------
    .. [1] People at a turn: NIOSH 94-110 and UK HSE L23, see `calcs.handling.lifting`.
    .. [2] Works that may change places: common practice, no source.
    """
    order, start = _fewest(top)
    planned = min(_turns(_faces(top, top.works, start)) for start in _starts(top))
    fewest = _turns(_faces(top, order, start))
    people, carry = _people(top)
    return Flips(
        as_planned=planned,
        fewest=fewest,
        saved=planned - fewest,
        starts=start,
        steps=_steps(top, order, start, people, carry),
        warnings=(TOO_HEAVY,) if fewest and carry and people is None else (),
        notes=(
            "counted: the order of works and the face that lies up; drying and curing between may add turns",
            "a turn is judged as a lift on edge with the whole weight",
        ),
        cautions=CAUTIONS,
        source=(NIOSH, HSE, CAUTION_SOURCE, f"which works may change places: {PRACTICE}"),
    )


def _starts(top: TurnOver) -> tuple[str, ...]:
    """Return the faces that may lie up at the start."""
    return FACES if top.starts == ANY else (top.starts,)


def _other(face: str) -> str:
    """Return the other face."""
    return FACES[1 - FACES.index(face)]


def _fewest(top: TurnOver) -> tuple[tuple[FaceWork, ...], str]:
    """Return the best order, with the face it starts on; the show face where both do as well."""
    tried = [(_order(top.works, start), start) for start in _starts(top)]
    return min(tried, key=lambda each: _turns(_faces(top, *each)))


def _order(works: Sequence[FaceWork], face: str) -> tuple[FaceWork, ...]:
    """Return the works in order: all that can be done on one face, then on the other, and so on."""
    left, done, order = list(works), set[str](), list[FaceWork]()
    while left:
        ready = next((work for work in left if work.up in (face, ANY) and done.issuperset(work.after)), None)
        if ready is None:
            face = _other(face)
            continue
        left.remove(ready)
        done.add(ready.what)
        order.append(ready)
    return tuple(order)


def _faces(top: TurnOver, order: Iterable[FaceWork], start: str) -> tuple[str, ...]:
    """Return the face up at the start, at each work, and at the end.

    A work for any face keeps the face before it.
    """
    faces = [start]
    for work in order:
        faces.append(faces[-1] if work.up == ANY else work.up)
    return (*faces, faces[-1] if top.ends == ANY else top.ends)


def _turns(faces: Sequence[str]) -> int:
    """Return the changes between neighbouring faces."""
    return sum(a != b for a, b in pairwise(faces))


def _people(top: TurnOver) -> tuple[int | None, str | None]:
    """Return the people for a turn, and who carries in one line; None for both without a weight."""
    if top.weight_kg is None:
        return None, None
    team = people_for(weight_lb=places(Fraction(top.weight_kg) * LB_PER_KG, 3))
    return team.people, team.carry


def _steps(
    top: TurnOver, order: Sequence[FaceWork], start: str, people: int | None, carry: str | None
) -> tuple[Step, ...]:
    """Return works and turns in order."""
    faces = _faces(top, order, start)
    names = [*(work.what for work in order), ""]
    found = []
    for name, (before, face) in zip(names, pairwise(faces), strict=True):
        if face != before:
            found.append(Step(what="turn over", up=face, turn=True, people=people, carry=carry))
        if name:
            found.append(Step(what=name, up=face, turn=False, people=None, carry=None))
    return tuple(found)


def _wrong(field: str, value: str, why: str, allowed: str) -> OutOfRange:
    """Return the refusal of a work in the plan."""
    return OutOfRange(f"{field}: {value} {why}", field=field, value=value, allowed=allowed)
