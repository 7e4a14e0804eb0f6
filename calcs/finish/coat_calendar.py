"""Calendar of the coats of a top: when each may go on, with the turns between its faces.

A coat all round that is laid face by face takes two sittings. The first face has to be dry enough to coat
again before the top may lie on it, so each sitting waits a recoat time for the one before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.curing.hardening import StepAt

FACES = SHOW, UNDER = ("show", "under")
AROUND = "all round"
PLACES = {SHOW: "show face and edges", UNDER: "underside"}
TURNED = (
    "turned over between its faces, and each turn waits a recoat time: counted in the calendar; hung or on"
    " points both faces are coated in one go"
)
ONE_SIDED = (
    "the recoat window is shorter than two turns: the underside gets its sealing coats first, the show face"
    " after one turn; do not let it stand half coated, or hang it and coat both faces in one go"
)
"""Unequal films let moisture in unequally; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class CoatAt:
    """One sitting of the calendar; times from the first.

    Attributes
    ----------
    coat : int
        Number of the coat.
    where : str
        "all round", "show face and edges", "underside" or "face".
    earliest_s, latest_s : int or None
        When it may go on, and by when it must without abrading [s]; None for no limit.

    Notes
    -----
    Each coat counts from the one before: late with one is late with the next.
    """

    coat: Annotated[int, Figure("Coat")]
    where: Annotated[str, Figure("Where")]
    earliest_s: Annotated[int, Figure("Not before")]
    latest_s: Annotated[int | None, Figure("Without abrading until", quiet=True)]


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """Sittings of all coats, and the turns between them.

    Attributes
    ----------
    coats : tuple of CoatAt
        In order; empty without a drying time.
    turns : int or None
        Turns; None without a drying time.
    notes : tuple of str
        Sentences for the maker.
    """

    coats: tuple[CoatAt, ...]
    turns: int | None
    notes: tuple[str, ...] = ()


def calendar_of(*, sealing: int, build: int, steps: Mapping[str, StepAt], turned: bool) -> Calendar:
    """Return the coats with their times: sealing coats first, then the build coats on the show face.

    Parameters
    ----------
    sealing, build : int
        Coats all round, and on the show face besides.
    steps : dict of str to StepAt
        Drying of one coat in this air [s].
    turned : bool
        True where a coat all round is laid face by face.

    Returns
    -------
    Calendar
        Empty without a drying time in this air.

    Notes
    -----
    In one go coat n, from 0, opens at n x likely recoat time and closes at n x the earliest end of its
    window. Face by face sitting n opens at n x recoat time, and a face closes a window after its coat before.
    The face that is up is coated twice before the top is turned, so each sealing coat takes one turn and a
    face waits up to three recoat times. Where the window is shorter, the faces take turns, two recoat times
    apart; where it is shorter still, the underside's sealing coats come first and the top is turned once.

    References
    ----------
    .. [1] A face dry enough to coat again may be lain on: common practice, no source.
    """
    opens = steps["recoat_from"].likely_s
    if opens is None:
        return Calendar(coats=(), turns=None)
    window = steps["recoat_to"].earliest_s if "recoat_to" in steps else None
    if not turned:
        return Calendar(coats=_in_one_go(sealing, build, opens, window), turns=0)
    most = 3 if window is None else window // opens
    numbered = [*_sealing(sealing, most), *((sealing + n + 1, SHOW) for n in range(build))]
    one_sided = most < 2 and sealing > 1
    return Calendar(
        coats=_sittings(numbered, opens, window, sealing),
        turns=sum(one != other for one, other in pairwise(face for _, face in numbered)),
        notes=(TURNED, *((ONE_SIDED,) if one_sided else ())),
    )


def _in_one_go(sealing: int, build: int, opens: int, window: int | None) -> tuple[CoatAt, ...]:
    """Return the coats of a top whose faces are laid in one go.

    Parameters
    ----------
    sealing, build : int
        Coats all round, and on the show face besides.
    opens, window : int
        Recoat time, and end of its window [s]; None for no end.
    """
    return tuple(
        CoatAt(
            coat=n + 1,
            where=AROUND if n < sealing else "face",
            earliest_s=n * opens,
            latest_s=n * window if window is not None else (0 if n == 0 else None),
        )
        for n in range(sealing + build)
    )


def _sealing(sealing: int, most: int) -> list[tuple[int, str]]:
    """Return coat and face of each sitting of the sealing coats; the show face comes last.

    Parameters
    ----------
    sealing : int
        Coats all round.
    most : int
        Recoat times that a face may wait.
    """
    numbers = range(1, sealing + 1)
    if most < 2:
        return [(coat, face) for face in (UNDER, SHOW) for coat in numbers]
    if most < 3:
        return [(coat, face) for coat in numbers for face in (UNDER, SHOW)]
    first = {coat: UNDER if (sealing - coat) % 2 == 0 else SHOW for coat in numbers}
    return [(n, face) for n in numbers for face in (first[n], *(each for each in FACES if each != first[n]))]


def _sittings(
    numbered: list[tuple[int, str]], opens: int, window: int | None, sealing: int
) -> tuple[CoatAt, ...]:
    """Return the sittings with their times.

    Parameters
    ----------
    numbered : list of (int, str)
        Coat and face of each sitting.
    opens, window : int
        Recoat time, and end of its window [s]; None for no end.
    sealing : int
        Coats all round.
    """
    before: dict[str, int] = {}
    made = []
    for n, (coat, face) in enumerate(numbered):
        last = before.get(face)
        made.append(
            CoatAt(
                coat=coat,
                where=PLACES[face] if coat <= sealing else "face",
                earliest_s=n * opens,
                latest_s=0 if n == 0 else None if last is None or window is None else last + window,
            )
        )
        before[face] = n * opens
    return tuple(made)
