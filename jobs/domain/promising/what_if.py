"""What if: what somebody asks, checked, and as the changes that a plan is tried with. Nothing is saved."""

from dataclasses import dataclass, fields
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from calcs.kit.length_reading import parse_length
from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain.checks import in_range, not_before, one_of
from jobs.domain.planning.assignments import people_here
from jobs.domain.planning.problem.axis import day_span
from jobs.domain.planning.problem.changes import Changes, Span
from jobs.domain.settings import settings
from jobs.domain.stages.clamps import LEAST_REACH, MOST_REACH
from jobs.domain.stock.product_sheets import newest
from jobs.models import Commission, Piece, Sheet

FARTHEST = timedelta(days=26 * 7)
"""How far ahead a change may lie: as far as a plan reaches."""
MOST_HOURS, MOST_CLAMPS = 12, 500
PLANNED = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP, Commission.Step.READY)
ANYBODY = ""


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    """What is changed: empty fields change nothing.

    ``away`` is a person who is away from a day until another, both whole. ``overtime_on`` is a day on which
    ``overtime_by``, or everybody, works some hours from the morning on. ``first`` is a commission that comes
    before all others. ``glue`` takes the place of the glue of everything not glued yet, or of the commission
    ``glue_for`` alone. ``clamps`` are rented, each of ``reach_len`` [1/8 µm]. ``accept`` is a commission that
    is accepted, for ``accept_for`` where a day is promised.
    """

    away: str = ""
    away_from: date | None = None
    away_until: date | None = None
    first: str = ""
    overtime_on: date | None = None
    overtime_hours: int | None = None
    overtime_by: str = ANYBODY
    glue: str = ""
    glue_for: str = ""
    clamps: int | None = None
    reach_len: int | None = None
    accept: str = ""
    accept_for: date | None = None

    @property
    def is_empty(self) -> bool:
        chosen = (self.away, self.first, self.overtime_on, self.glue, self.accept)
        return not any(chosen) and self.clamps is None

    def changes(self, today: date) -> Changes:
        """Return the changes that a plan is tried with.

        Raises
        ------
        ShopError
            If something cannot be asked: its field, its value and what is allowed are named.
        """
        self._check(today)
        return Changes(
            away=self._away(), also=self._also(), first=self.first,
            firm=frozenset({self.accept} - {""}), inputs=_glued_with(self.glue, self.glue_for),
            clamps={self.reach_len: self.clamps} if self.clamps and self.reach_len else {},
            promises={self.accept: self.accept_for} if self.accept and self.accept_for else {},
        )  # fmt: skip

    def _away(self) -> dict[str, tuple[Span, ...]]:
        if not self.away or self.away_from is None:
            return {}
        return {self.away: (day_span(self.away_from, self.away_until or self.away_from),)}

    def _also(self) -> dict[str, tuple[Span, ...]]:
        if self.overtime_on is None or self.overtime_hours is None:
            return {}
        clock = time.fromisoformat(str(settings()["morning"]))
        begins = timezone.make_aware(datetime.combine(self.overtime_on, clock))
        span = (begins, begins + timedelta(hours=self.overtime_hours))
        return {key: (span,) for key in ([self.overtime_by] if self.overtime_by else _people())}

    def _check(self, today: date) -> None:
        """Refuse what cannot be asked."""
        if self.is_empty:
            given = [one.name for one in fields(self) if getattr(self, one.name)]
            raise Invalid(
                "choose what should change", field=given[0] if given else "away", value="",
                allowed="who is away, what is first, overtime, a glue, rented clamps, one more commission",
            )  # fmt: skip
        if self.away:
            self._check_away(today)
        if self.overtime_on is not None:
            self._check_overtime(today)
        if self.clamps is not None:
            in_range(self.clamps, 1, MOST_CLAMPS, "this is no number of clamps", field="clamps")
            if self.reach_len is None:
                raise Invalid("say how far they reach", field="reach", value="", allowed="a length")
        for field, number, steps in (
            ("first", self.first, PLANNED), ("glue_for", self.glue_for, PLANNED),
            ("accept", self.accept, Commission.UNDECIDED),
        ):  # fmt: skip
            if number:
                one_of(number, _numbers(steps), "no such commission", field=field, shown=20)
        if self.glue:
            one_of(self.glue, newest(Sheet.Kind.GLUE), "no such glue", field="glue", shown=40)
        if self.accept_for is not None:
            says = "promised for a day that has passed"
            not_before(self.accept_for, today, says, field="accept_for")

    def _check_away(self, today: date) -> None:
        one_of(self.away, _people(), "nobody here has this key", field="away", shown=40)
        if self.away_from is None:
            raise Invalid("say from which day on", field="away_from", value="", allowed=f"{today} or later")
        last = self.away_until or self.away_from
        in_range(self.away_from, today, today + FARTHEST, "no plan reaches this day", field="away_from")
        in_range(
            last, self.away_from, today + FARTHEST, "this is before it begins, or too far", field="away_until"
        )

    def _check_overtime(self, today: date) -> None:
        assert self.overtime_on is not None, "asked before"
        if self.overtime_by:
            one_of(self.overtime_by, _people(), "nobody here has this key", field="overtime_by", shown=40)
        in_range(self.overtime_on, today, today + FARTHEST, "no plan reaches this day", field="overtime_on")
        if self.overtime_hours is None:
            allowed = f"1 to {MOST_HOURS}"
            raise Invalid("say for how many hours", field="overtime_hours", value="", allowed=allowed)
        in_range(self.overtime_hours, 1, MOST_HOURS, "nobody works this many hours", field="overtime_hours")


def reach_of(text: str, units: Units) -> int | None:
    """Return how far rented clamps reach [1/8 µm]; None where nothing is typed."""
    if not text.strip():
        return None
    return parse_length(text, unit=units.length, field="reach", least=LEAST_REACH, most=MOST_REACH).units


def _people() -> list[str]:
    return [one.id for one in people_here()]


def _numbers(steps: tuple[str, ...]) -> list[str]:
    return list(Commission.objects.filter(step__in=steps).values_list("number", flat=True))


def _glued_with(glue: str, commission: str) -> dict[str, dict[str, str]]:
    """Return another glue for the pieces that are planned, or for those of one commission."""
    if not glue:
        return {}
    pieces = Piece.objects.filter(commission__step__in=PLANNED)
    if commission:
        pieces = pieces.filter(commission__number=commission)
    return {number: {"glue": glue} for number in pieces.values_list("number", flat=True)}
