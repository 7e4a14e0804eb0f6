"""Drafting a commission: each open stage becomes tasks, each order and wait a lag, each clamping a hold."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from django.utils import timezone

from calcs.planning.problem import Hold, Lag, Task
from calcs.planning.spreads import three_points
from jobs.core.errors import ShopError
from jobs.domain.planning.problem.axis import SLOT, day_span, slots
from jobs.domain.planning.problem.drafts import (
    Draft,
    Ground,
    Part,
    Pin,
    is_delivery,
    is_work,
    once_names,
    task_key,
)
from jobs.domain.planning.problem.orders import Before, Orders
from jobs.domain.planning.problem.people import GLUED
from jobs.domain.planning.problem.places import BENCH, CLAMPS, FINISHING, takes_clamps
from jobs.domain.planning.problem.room import from_slot, run_from, split, starts_of
from jobs.domain.stages.clamps import released_by
from jobs.domain.waits.route import RouteState
from jobs.models import Commission, Stage

WHOLE = frozenset({CLAMPS, FINISHING, "road"})
"""Places of stages that nobody leaves and takes up again."""
LEAST_RUN = 3
"""Slots that a stage under way must have left of a working span to go on in it."""
ROOM_FOR_FRESH = timedelta(hours=5)
"""Work between a cut edge and its glue-up within a day of other work too: common practice, no source."""
NO_TIME = "it takes {hours} h without a break, longer than anybody works who may do it: change the hours"
NOBODY = "nobody here may do it: change who does what, or give it to somebody else"
NOT_PINNED = "it cannot be done as pinned: nobody has the time then; take the pin off or move it"
AFTER = "it comes after {stage}, which cannot be planned"


@dataclass(frozen=True, kw_only=True)
class Drafting:
    """The draft of one commission in the making."""

    ground: Ground
    draft: Draft
    maybe: bool

    def add(self, routes: Sequence[RouteState]) -> None:
        """Add the stages of all pieces."""
        names = once_names(routes)
        for route in routes:
            self._add_route(route, {key: names.get((route.piece.number, key)) for key in route.by_key})

    def _add_route(self, route: RouteState, once: dict[str, tuple[str, str] | None]) -> None:
        try:
            orders = self.ground.orders(route)
        except ShopError as wrong:
            named = route.by_key.get(str(wrong.value)) or next(filter(is_work, route.stages))
            self.draft.leave_out(route, named, str(wrong))
            return
        lost: dict[str, Stage] = {}
        for stage in filter(is_work, route.stages):
            name = (route.piece.number, stage.key)
            elsewhere = once[stage.key] not in (None, name)
            if is_delivery(stage):
                self.draft.delivers.append(stage)
                if self.draft.commission.number in self.ground.clients.deliveries:
                    continue
            missing = [lost[one.anchor] for one in orders.before[stage.key] if one.anchor in lost]
            try:
                if missing:
                    raise ShopError(AFTER.format(stage=missing[0].spec["title"]))
                if elsewhere:
                    self._follow(stage, route, orders, (once[stage.key] or name))
                else:
                    self._add_stage(stage, route, orders)
            except ShopError as wrong:
                lost[stage.key] = stage
                if not missing:
                    self.draft.leave_out(route, stage, str(wrong))
        self.draft.waits += [(route, one) for one in orders.waits]
        self._hold(route)

    def _follow(self, stage: Stage, route: RouteState, orders: Orders, name: tuple[str, str]) -> None:
        """Let a stage that is done once with another piece wait for this piece too."""
        self.draft.first[route.piece.number, stage.key] = self.draft.first[name]
        self.draft.last[route.piece.number, stage.key] = self.draft.last[name]
        self._order(stage, route, orders.before[stage.key])

    def _add_stage(self, stage: Stage, route: RouteState, orders: Orders) -> None:
        ground, piece = self.ground, route.piece
        if stage.step == Stage.Step.PLANNED:
            ground.places.clamps_for(stage, piece)
        spread = ground.minutes.left(stage, piece, ground.now)
        pin = ground.pins.get((piece.number, stage.key), Pin())
        teams = ground.people.teams(stage, piece, pinned=pin.person) or self._unpinned(stage, route, pin)
        sizes = self._sizes(stage, ground.slots(spread), teams)
        keeps = ground.places.keeps(stage, self._dries(stage, route))
        uses = {key: n for key, n in ground.places.uses(stage).items() if key not in keeps}
        starts = self._starts(stage, route, orders.before[stage.key], teams, sizes, pin)
        before = ""
        for n, size in enumerate(sizes, 1):
            key = task_key(piece.number, stage.key, n, len(sizes))
            self.draft.tasks.append(
                Task(
                    key=key, job=self.draft.commission.number, slots=size, teams=teams, uses=uses,
                    starts=starts if n == 1 else from_slot(0, ground.axis.horizon),
                    keeps=keeps if n == 1 else {},
                )
            )  # fmt: skip
            self.draft.parts[key] = Part(
                commission=self.draft.commission.number, piece=piece.number, stage=stage, part=n,
                parts=len(sizes), spread=ground.stretched(spread, size / sum(sizes)), maybe=self.maybe,
                pinned=pin != Pin(),
            )  # fmt: skip
            if before:
                self.draft.lags.append(Lag(first=before, then=key))
            before = key
        name = (piece.number, stage.key)
        self.draft.first[name] = task_key(*name, 1, len(sizes))
        self.draft.last[name] = before
        self._order(stage, route, orders.before[stage.key])

    def _unpinned(self, stage: Stage, route: RouteState, pin: Pin) -> tuple[tuple[str, ...], ...]:
        """Return the teams of a stage whose pinned person may not do it; refuse one that nobody may do."""
        teams = self.ground.people.teams(stage, route.piece) if pin.person else ()
        if not teams:
            raise ShopError(NOBODY)
        self.draft.leave_out(route, stage, NOT_PINNED)
        return teams

    def _sizes(self, stage: Stage, whole: int, teams: Iterable[tuple[str, ...]]) -> list[int]:
        """Return the slots of the parts of a stage; what is at the clamps, wet or on the road is one."""
        kind = str(stage.spec["template_key"])
        if stage.spec["place"] in WHOLE or kind in GLUED or is_delivery(stage):
            return [whole]
        running = stage.step == Stage.Step.UNDER_WAY and stage.resumed_at is not None
        run = self._run(teams) if running else 0
        if LEAST_RUN <= run < whole:
            return [run, *split(whole - run)]
        return split(whole)

    def _run(self, teams: Iterable[tuple[str, ...]]) -> int:
        """Return the slots in a row from now on that the people of a team are there."""
        opened = {each.key: each.open for each in self.ground.resources}
        return max((min(run_from(opened[key], 0) for key in team) for team in teams), default=0)

    def _dries(self, stage: Stage, route: RouteState) -> timedelta | None:
        """Return how long a coat keeps its place from its start on; None where nothing is wet."""
        waits = [spec for spec in stage.spec["waits"] if stage.spec["place"] == FINISHING]
        if not waits:
            return None
        spread = self.ground.minutes.left(stage, route.piece, self.ground.now)
        longest = max(self.ground.lengths.of(spec, route.piece).safe for spec in waits)
        return self.ground.slots(spread) * SLOT + longest

    def _starts(
        self, stage: Stage, route: RouteState, before: Iterable[Before], teams: tuple[tuple[str, ...], ...],
        sizes: Sequence[int], pin: Pin,
    ) -> int:  # fmt: skip
        """Return the slots in which a stage may start; refuse it where there are none."""
        axis = self.ground.axis
        rooms = [starts_of(teams, self.ground.resources, size) for size in sizes]
        if not all(rooms):
            raise ShopError(NO_TIME.format(hours=f"{max(sizes) * SLOT.total_seconds() / 3600:.1f}"))
        found = rooms[0] & from_slot(self._earliest(stage, route), axis.horizon)
        for one in before:
            if one.since is None:
                continue
            later = found & from_slot(axis.first_from(one.since + one.least), axis.horizon)
            closing = (
                later & ~from_slot(axis.last_until(one.since + one.most) + 1, axis.horizon) if one.most else 0
            )
            found = closing or later
        if is_delivery(stage):
            found = self._deliverable(found)
        if pin.day is not None and pin.day >= self.ground.today:
            pinned = 0 if self.ground.unpinned else found & axis.touched([day_span(pin.day, pin.day)])
            if not pinned:
                self.draft.leave_out(route, stage, NOT_PINNED)
            found = pinned or found
        if not found:
            raise ShopError("nobody has the time for it before the plan ends: change the hours")
        return found

    def _earliest(self, stage: Stage, route: RouteState) -> int:
        """Return the slot from which clients and agreed dates let a stage begin."""
        clients, number = self.ground.clients, self.draft.commission.number
        moments = (clients.answer_for(stage, number, route.piece.number), clients.date_of(stage, number))
        return max((self.ground.axis.first_from(each) for each in moments if each), default=0)

    def _deliverable(self, found: int) -> int:
        """Return the starts of a delivery: from the last day of work up to the promise, on open days."""
        ground, commission = self.ground, self.draft.commission
        open_days = found & ~ground.clients.shut(commission.number, ground.axis)
        promised = ground.promised(commission)
        if promised is None:
            return open_days or found
        until = ground.axis.last_until(day_span(promised, promised)[1])
        soon = open_days & ~from_slot(until, ground.axis.horizon)
        if not soon:
            return open_days or found
        last_day = timezone.localdate(ground.axis.moment(soon.bit_length() - 1))
        first = ground.axis.first_from(day_span(last_day, last_day)[0])
        return open_days & from_slot(first, ground.axis.horizon)

    def _order(self, stage: Stage, route: RouteState, before: Iterable[Before]) -> None:
        """Add the lags before a stage; of two with the same tasks both hold."""
        piece = route.piece.number
        then = self.draft.first[piece, stage.key]
        for one in before:
            first = self.draft.last.get((piece, one.anchor))
            if first is None:
                continue
            least = slots(one.least)
            most = max(least, one.most // SLOT) if one.most is not None else None
            if one.may_drop and self._work_between(one.anchor, stage, route) > ROOM_FOR_FRESH:
                continue
            self.draft.lags.append(Lag(first=first, then=then, least=least, most=most))
            if one.least:
                self._spread_lag((first, then), one)

    def _spread_lag(self, names: tuple[str, str], one: Before) -> None:
        likely = max(_minutes(one.likely), 1.0)
        most = max(_minutes(one.slowest), likely)
        spread = three_points(least=min(likely, likely * likely / most), likely=likely, most=most)
        known = self.draft.lag_spreads.get(names)
        if known is None or known.median < spread.median:
            self.draft.lag_spreads[names] = spread

    def _work_between(self, first: str, stage: Stage, route: RouteState) -> timedelta:
        keys = list(route.by_key)
        between = keys[keys.index(first) + 1 : keys.index(stage.key)]
        sizes = {part.stage.key: 0 for part in self.draft.parts.values()}
        for task in self.draft.tasks:
            part = self.draft.parts[task.key]
            if part.piece == route.piece.number:
                sizes[part.stage.key] += task.slots
        return sum(sizes.get(key, 0) for key in between) * SLOT

    def _hold(self, route: RouteState) -> None:
        """Hold clamps and a bench place from each clamping until its clamps come off."""
        number = route.piece.number
        for stage in filter(takes_clamps, route.stages):
            first = self.draft.first.get((number, stage.key))
            off = [
                self.draft.last[number, key] for key in released_by(stage) if (number, key) in self.draft.last
            ]
            if first is None or stage.step != Stage.Step.PLANNED or not off:
                continue
            units = self.ground.places.clamps_for(stage, route.piece)
            if self.ground.places.benches:
                units[BENCH] = 1
            self.draft.holds += [
                Hold(resource=key, units=count, first=first, last=off[-1]) for key, count in units.items()
            ]


def drafted(ground: Ground, commission: Commission, routes: Sequence[RouteState], *, maybe: bool) -> Draft:
    """Return the draft of one commission."""
    draft = Draft(commission=commission)
    Drafting(ground=ground, draft=draft, maybe=maybe).add(routes)
    draft.lags = _merged(draft.lags)
    return draft


def _merged(lags: Iterable[Lag]) -> list[Lag]:
    """Return one lag for each two tasks: all that was said of them holds."""
    found: dict[tuple[str, str], Lag] = {}
    for lag in lags:
        names = (lag.first, lag.then)
        known = found.get(names, lag)
        least = max(known.least, lag.least)
        most = min((each for each in (known.most, lag.most) if each is not None), default=None)
        found[names] = replace(known, least=least, most=most if most is None else max(most, least))
    return list(found.values())


def _minutes(length: timedelta) -> float:
    return length.total_seconds() / 60
