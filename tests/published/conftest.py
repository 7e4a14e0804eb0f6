"""``agrees``: our figure beside the printed one. It asserts, and keeps what was compared for the README."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calcs.catalogue import CALCULATIONS
from tests.published.figures import KINDS, OUTSIDE, PRACTICE, SEEN, Check, write

KEPT = pytest.StashKey[list[Check]]()
Number = Decimal | Fraction | float | int
Print = str | Number | tuple[Any, Any]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--figures", metavar="FILE", help="write what is compared to FILE, as JSON")


@pytest.fixture
def agrees(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Compare one figure with one in print.

    ``printed`` is a number, its text, or the two ends between which ours must lie (None: open); a text that
    is no number must be ours to the letter. ``within`` is what is allowed, in the same ``unit``;
    ``seen`` is the provenance of the row. ``kind`` is "computed" where our code works the figure out, "table"
    where it only keeps it. ``calculation`` is one that can reach the figure, or a name of ``OUTSIDE``.
    """
    kept = request.config.stash.setdefault(KEPT, [])

    def agrees(
        *,
        calculation: str,
        kind: str,
        ours: Any,
        printed: Print,
        within: Number,
        source: str,
        seen: str,
        unit: str = "",
    ) -> None:
        assert calculation in {*CALCULATIONS, *OUTSIDE} and kind in KINDS and seen in {*SEEN, PRACTICE}
        off, allowed = distance(ours, printed), Fraction(within)
        assert off <= allowed, (
            f"{ours} is {float(off):.6g} {unit} off {printed} of {source}: {within} allowed"
        )
        kept.append(
            Check(
                calculation=calculation,
                kind=kind,
                source=source,
                seen=seen,
                off=float(off),
                within=float(allowed),
                unit=unit,
            )
        )

    return agrees


def distance(ours: Any, printed: Print) -> Fraction:
    if isinstance(ours, str):
        assert ours == printed
        return Fraction(0)
    least, most = printed if isinstance(printed, tuple) else (printed, printed)
    value = Fraction(ours)
    below = Fraction(least) - value if least is not None else Fraction(0)
    above = value - Fraction(most) if most is not None else Fraction(0)
    return max(below, above, Fraction(0))


@pytest.fixture(scope="session", autouse=True)
def figures(request: pytest.FixtureRequest) -> Iterator[None]:
    """Written at the end, if they are asked for."""
    yield
    path = request.config.getoption("--figures", default=None)  # none in a run of the whole suite
    if path:
        kept: list[Check] = request.config.stash[KEPT]
        write(kept, Path(path))
