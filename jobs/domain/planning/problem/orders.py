"""What must come before a stage may begin: other stages, waits, moments. Passive stages pass theirs on."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from calcs.kit.amounts import parse_duration
from jobs.core.errors import WrongState
from jobs.domain.checks import title_of
from jobs.domain.planning.problem.lengths import Length, Spec, WaitLengths
from jobs.domain.waits.route import OVER, RouteState, estimate_of, look_at, safe_at
from jobs.domain.waits.wait_lengths import lasts
from jobs.models import Stage, Wait

NONE = timedelta(0)


@dataclass(frozen=True, kw_only=True)
class Before:
    """One thing before a stage may begin: ``least`` after the end of a stage, or after a moment.

    ``anchor`` is the key of an open stage worked by hand, empty where ``since`` is a moment. Its waits last
    ``least`` at their cautious end, ``likely`` most likely, and at most ``slowest``. Where ``may_drop``, a
    window that cannot be kept is left out.
    """

    anchor: str = ""
    since: datetime | None = None
    least: timedelta = NONE
    most: timedelta | None = None
    likely: timedelta = NONE
    slowest: timedelta = NONE
    may_drop: bool = False


@dataclass(frozen=True, kw_only=True)
class WaitAhead:
    """A wait that has not begun: since when it counts, what it holds, how long it lasts."""

    stage: Stage
    spec: Spec
    since: tuple[Before, ...]
    length: Length


class Orders:
    """What must come before each open stage of a route."""

    def __init__(self, route: RouteState, lengths: WaitLengths, now: datetime) -> None:
        self.route, self.lengths, self.now = route, lengths, now
        self.before: dict[str, list[Before]] = {}
        self.waits: list[WaitAhead] = []
        self._over: dict[str, list[Before]] = {}
        self._holding: dict[str, list[Before]] = defaultdict(list)
        for wait in route.waits:
            for key in wait.holds:
                self._holding[key].append(self._running(wait))
        for stage in route.stages:
            if stage.step not in OVER:
                self._add(stage)

    def _add(self, stage: Stage) -> None:
        """Take a stage up; a route holds every stage after its predecessors."""
        under_way = stage.step == Stage.Step.UNDER_WAY and not stage.spec["passive"]
        found = [] if under_way else [*self._after(stage), *self._holding[stage.key], *self._fresh(stage)]
        self.before[stage.key] = found
        ends = list(found)
        for spec in stage.spec["waits"]:
            if not spec["holds"]:
                continue
            since = tuple(self._since(stage, spec, found))
            length = self.lengths.of(spec, self.route.piece)
            self.waits.append(WaitAhead(stage=stage, spec=spec, since=since, length=length))
            held = [_later(one, length) for one in since]
            ends += held
            if not stage.spec["passive"]:
                for key in spec["holds"]:
                    self._holding[key] += [replace(one, most=length.closes) for one in held]
        self._over[stage.key] = ends

    def _after(self, stage: Stage) -> list[Before]:
        found: list[Before] = []
        for key in stage.spec["after"]:
            earlier = self.route.by_key[key]
            if earlier.step in OVER:
                continue
            if key not in self.before:
                raise WrongState(
                    f"it waits for {title_of(earlier)}, which waits for it: put the route in order",
                    field="route", value=stage.key, allowed="stages that do not wait for one another",
                )  # fmt: skip
            found += self._over[key] if earlier.spec["passive"] else [Before(anchor=key)]
        return found

    def _since(self, stage: Stage, spec: Spec, begins: list[Before]) -> list[Before]:
        """Return since when a wait counts: the end of its stage, or the begin of a passive one."""
        other = self.route.by_key.get(spec["since"], stage)
        if other.key == stage.key and stage.spec["passive"]:
            return [replace(one, most=None) for one in begins] or [Before(since=self.now)]
        if other.step in OVER:
            return [Before(since=other.finished_at or self.now)]
        return [Before(anchor=other.key)] if not other.spec["passive"] else list(self._over[other.key])

    def _running(self, wait: Wait) -> Before:
        """Return a running wait as a moment, at the cautious end of its estimate."""
        estimate = estimate_of(wait)
        ready = (look_at(wait, estimate) or safe_at(wait, estimate)) if estimate else None
        if ready is None:
            spec = next((s for s in wait.stage.spec["waits"] if s["kind"] == wait.kind), None)
            whole = lasts(spec, self.route.piece.inputs) if spec else NONE
            ready = max(wait.since + whole, self.now)
        closes = estimate.closes_at if estimate else None
        return Before(
            since=ready,
            most=closes - ready if closes and closes > max(ready, self.now) else None,
            may_drop=True,
        )

    def _fresh(self, stage: Stage) -> list[Before]:
        """Return the windows of edges that must be fresh, where the work between leaves room for it."""
        found = []
        for gate in stage.spec["gates"]:
            cut = self.route.by_key.get(gate.get("of", "")) if gate.get("rule") == "fresh" else None
            if cut is None:
                continue
            within = parse_duration(gate["within"], field="within")
            most = timedelta(seconds=int(within))
            if cut.step not in OVER:
                found.append(Before(anchor=cut.key, most=most, may_drop=True))
            elif cut.finished_at and cut.finished_at + most > self.now:
                found.append(Before(since=cut.finished_at, most=most, may_drop=True))
        return found


def _later(one: Before, length: Length) -> Before:
    """Return what comes before with a wait after it."""
    return replace(
        one, least=one.least + length.safe, most=None, likely=one.likely + length.likely,
        slowest=one.slowest + length.slowest,
    )  # fmt: skip
