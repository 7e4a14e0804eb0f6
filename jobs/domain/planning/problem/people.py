"""Who works when, and who may do a stage: open hours less the dates outside, and teams to choose from."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import combinations

from django.utils import timezone

from calcs.kit.units import inches
from calcs.planning.problem import Resource
from jobs.domain.planning.problem.axis import Axis, day_span
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.planning.problem.usual_times import FEET_OF_ONE
from jobs.domain.waits.route import SCRAPE
from jobs.domain.working_time.abilities import LIFTING, NEVER, NOT_ALONE, limits_of
from jobs.domain.working_time.open_hours import open_spans
from jobs.models import Appointment, Person, Piece, Stage

BACK = "back:"
"""Before the id of a person: the same one, who comes back after work to scrape glue and for nothing else."""
MOST_TEAMS = 6
LIFTED = frozenset({"clamps-off", "clamps-off-a", "clamps-off-b", "deliver"})
"""Kinds of stages that carry the whole piece: common practice, no source."""
GLUED = frozenset({"glue-up", "glue-up-a", "glue-up-b", "breadboard-glue"})


@dataclass(frozen=True, kw_only=True)
class Hours:
    """The slots of one person: usual, unwanted, and after work."""

    usual: int = 0
    unwanted: int = 0
    back: int = 0


@dataclass(frozen=True, kw_only=True)
class People:
    """Everybody who works here in the time of a plan, with slots, limits, and who owns the shop."""

    hours: Mapping[str, Hours]
    owners: frozenset[str]
    limits: Mapping[str, Mapping[str, str]]

    @property
    def resources(self) -> list[Resource]:
        found = [Resource(key=key, open=h.usual | h.unwanted) for key, h in self.hours.items()]
        back = [Resource(key=BACK + key, open=h.back) for key, h in self.hours.items() if h.back]
        return [*found, *back]

    @property
    def unwanted(self) -> int:
        """Return the slots that are unwanted, and that nobody works anyway; who comes back has said so."""
        all_unwanted = usual = 0
        for hours in self.hours.values():
            all_unwanted |= hours.unwanted
            usual |= hours.usual
        return all_unwanted & ~usual

    @property
    def open(self) -> int:
        """Return the slots in which anybody works."""
        found = 0
        for hours in self.hours.values():
            found |= hours.usual
        return found

    def teams(self, stage: Stage, piece: Piece, *, pinned: str = "") -> tuple[tuple[str, ...], ...]:
        """Return who may do a stage: each choice of people; empty where nobody may."""
        able = [key for key in self.hours if self._may(key, stage)]
        fixed = _who_does(stage, pinned)
        pairs = [pair for pair in combinations(able, 2) if not fixed or fixed in pair]
        alone = [(key,) for key in able if self._alone(key, stage) and (not fixed or fixed == key)]
        two = len(able) > 1 and _wants_two(stage, piece)
        chosen = pairs if two and pairs else alone or pairs
        late = [(BACK + key,) for (key,) in alone if self.hours[key].back and _is_scraping(stage)]
        return (*chosen[:MOST_TEAMS], *late)

    def _may(self, key: str, stage: Stage) -> bool:
        if stage.spec["owner_only"] and key not in self.owners:
            return False
        return self.limits.get(key, {}).get(stage.spec["place"]) != NEVER

    def _alone(self, key: str, stage: Stage) -> bool:
        mine = self.limits.get(key, {})
        if mine.get(stage.spec["place"]) == NOT_ALONE:
            return False
        return not (mine.get(LIFTING) and str(stage.spec["template_key"]) in LIFTED)


def _who_does(stage: Stage, pinned: str) -> str:
    """Return who is to do a stage: who is at it, who was pinned, whom it was given to; empty for anybody."""
    at_it = stage.started_by if stage.step == Stage.Step.UNDER_WAY else ""
    return at_it or pinned or stage.given_to


def _wants_two(stage: Stage, piece: Piece) -> bool:
    """Return whether a stage wants two people: a long glue-up, or a piece too heavy for one to carry."""
    kind = str(stage.spec["template_key"])
    if kind in GLUED:
        return (piece.inputs.get("length_len") or 0) > inches(12 * FEET_OF_ONE)
    lifting = piece.computed.get("lifting", {}).get("result")
    return kind in LIFTED and lifting is not None and lifting["people"] != 1


def _is_scraping(stage: Stage) -> bool:
    return str(stage.spec["template_key"]).endswith(SCRAPE)


def people_of(axis: Axis, appointments: Sequence[Appointment], changes: Changes) -> People:
    """Return everybody with working hours, without the dates outside and as far as they are changed."""
    rows = list(Person.objects.filter(is_active=True).order_by("name", "username"))
    ids = [row.id for row in rows]
    owners = frozenset(row.id for row in rows if row.is_owner)
    first = timezone.localdate(axis.origin)
    spans = open_spans(ids, first, axis.last_day)
    hours = {
        key: Hours(
            usual=axis.within((*of.usual, *changes.also.get(key, ()))),
            unwanted=axis.within(of.unwanted),
            back=axis.within(of.back),
        )  # fmt: skip
        for key, of in spans.items()
    }
    order = sorted(hours, key=lambda key: key not in owners)
    for one in appointments:
        span = axis.touched([span_of(one)])
        for key in going(one, order, hours, span):
            hours[key] = _without(hours[key], span)
    for key, spans_away in changes.away.items():
        if key in hours:
            hours[key] = _without(hours[key], axis.touched(spans_away))
    here = {key: of for key, of in hours.items() if of.usual | of.unwanted}
    return People(hours=here, owners=owners, limits=limits_of(list(here)))


def span_of(one: Appointment) -> tuple[datetime, datetime]:
    """Return the span that a date outside the shop takes; the whole day where it has no time."""
    if one.starts_at is None:
        return day_span(one.day, one.day)
    return one.starts_at, one.starts_at + timedelta(minutes=one.minutes or 0)


def going(one: Appointment, order: Collection[str], hours: Mapping[str, Hours], span: int) -> list[str]:
    """Return who goes: those named, then as many others as hands are missing, those free then first."""
    named = [key for key in one.people if key in hours]
    others = [key for key in order if key not in named]
    others.sort(key=lambda key: not (hours[key].usual & span))
    return [*named, *others[: max(0, one.hands - len(named))]]


def _without(hours: Hours, away: int) -> Hours:
    return Hours(usual=hours.usual & ~away, unwanted=hours.unwanted & ~away, back=hours.back & ~away)
