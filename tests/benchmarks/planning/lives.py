"""A simulated shop lives through its truth: orders come, dates are promised, each morning it plans again."""

from dataclasses import dataclass, field, replace
from math import ceil, sqrt

from calcs.planning.chance import chances
from calcs.planning.problem import Hold, Job, Lag, Placed, Plan, Problem, Resource, Task
from calcs.planning.repair import repair
from calcs.planning.simulation.network import Network
from calcs.planning.simulation.run import Run
from calcs.planning.spreads import Spread, Uncertainty, interruptions_of, pace_of, spread_of

from .truths import DAY, FOLLOW, KINDS, STAGES, WAITS, WEEKS, Past, Truth, open_slots

AHEAD = 14 * 7 * DAY
"""Slots that a plan looks ahead."""
PARTED = 36
"""Slots beyond which a stage is planned in parts."""
CAUTIOUS = 1.0
"""Standard deviations of the wait that the plan allows for."""
WAIT_LOG_SD = {"answer": 0.6}
"""Spread of a wait before the log says it: clients answer when they like. Common practice, no source."""
RUNS = 100
MORNING_PLANS, PROMISE_PLANS = 3, 20


@dataclass(slots=True)
class Order:
    """A commission: what was promised, and what has come true. Slots count from the beginning of the shop."""

    number: int
    size: float
    placed: int
    factor: float
    share: float = 0.0
    due: int | None = None
    dates: dict[str, int | None] = field(default_factory=dict)
    drawn: dict[str, float] = field(default_factory=dict)
    waits: dict[tuple[str, str], float] = field(default_factory=dict)
    began: dict[str, int] = field(default_factory=dict)
    ended: dict[str, int] = field(default_factory=dict)
    published: dict[str, int] = field(default_factory=dict)

    @property
    def done(self) -> int | None:
        return self.ended.get("deliver")


class Planner:
    """The plan's side of a shop: it has seen the log alone."""

    def __init__(self, past: Past, people: tuple[str, ...]) -> None:
        self.people = people
        self.pace = pace_of(past.minutes, KINDS)
        self.work = {
            kind: spread_of(minutes, usual=KINDS[kind] * self.pace.factor, kind=kind)
            for kind, minutes in past.minutes.items()
        }
        usual = {kind: minutes for *_, kind, minutes, _ in WAITS if kind}
        self.wait = {
            kind: spread_of(minutes, usual=usual[kind], kind=kind, usual_log_sd=WAIT_LOG_SD.get(kind, 0.15))
            for kind, minutes in past.waits.items()
        }
        self.losses = interruptions_of(half_days=past.half_days, lost=past.lost, losses=past.losses)

    def parts(self, name: str, kind: str, size: float) -> list[tuple[str, int, Spread | None]]:
        """Return the parts of a stage with their slots and spread; the last bears the name of the stage."""
        if not kind:
            return [(name, 0, None)]
        spread = self.work[kind]
        slots = max(1, round(spread.median * size / 5))
        count = ceil(slots / PARTED)
        part = replace(spread, median=spread.median * size / count)
        names = [*(f"{name} part {at}" for at in range(1, count)), name]
        return [(key, max(1, round(slots / count)), part) for key in names]


@dataclass(slots=True)
class Shown:
    """The problem of a shop at a moment with its doubts, and the truth of it by the order of its tasks."""

    problem: Problem
    doubts: Uncertainty
    work: list[int]
    waits: list[int]


class Shop:
    """A shop with its truth, its planner and its orders."""

    def __init__(self, seed: int) -> None:
        self.truth = Truth(seed)
        self.planner = Planner(self.truth.past(), self.truth.people)
        self.open = open_slots(range(WEEKS))
        self.orders: list[Order] = []
        self.busy: dict[str, int] = {}
        self.room_until: list[int] = []

    def live(self, orders: int) -> list[Order]:
        """Return the orders once all are delivered: the first five are there on the first day."""
        day, comes = 0, 0.0
        while not (len(self.orders) == orders and all(order.done for order in self.orders)):
            while len(self.orders) < orders and (len(self.orders) < 5 or comes <= day):
                self._take(day)
                comes = max(comes, day) + self.truth.dice.expovariate(1 / (self.truth.gap_days * 1.4))
            if day % 7 < 5:
                self._work(day)
            day += 1
        return self.orders

    def _take(self, day: int) -> None:
        number = len(self.orders)
        size = self.truth.dice.uniform(0.6, 1.7)
        order = Order(number, size, day * DAY, self.truth.job_factor(), (0.8, 0.95)[number % 2])
        self.orders.append(order)
        shown = self.shown(day)
        plan = self._planned(shown, PROMISE_PLANS, day)
        chance = chances(shown.problem, plan, shown.doubts, runs=RUNS, seed=number)[str(number)]
        order.dates = {
            "promised": _day(day, chance.slot_at(order.share)),
            "plan": _day(day, plan[f"{number} deliver"].start),
            **self._alone(order, day),
        }
        promised = order.dates["promised"]
        order.due = None if promised is None else promised * DAY
        self._publish(plan, day)

    def _alone(self, order: Order, day: int) -> dict[str, int | None]:
        """Return the baselines: the order alone in an empty shop, and its minutes and waits added up."""
        others, self.orders = self.orders, [order]
        try:
            shown = self.shown(day, cautious=0.0, empty=True)
        finally:
            self.orders = others
        plan = repair(shown.problem, {}, plans=0).plan
        work = sum(self.planner.work[kind].median * order.size for _, kind, _ in STAGES if kind)
        wait = sum(self.planner.wait[kind].median for *_, kind, _, _ in WAITS if kind)
        return {
            "critical path": _day(day, plan[f"{order.number} deliver"].start),
            "sum of medians": day + ceil(work / 480 * 7 / 5 + wait / 1440),
        }

    def _planned(self, shown: Shown, plans: int, day: int) -> Plan:
        published = {
            f"{order.number} {name}": max(0, start - day * DAY)
            for order in self.orders
            for name, start in order.published.items()
            if name not in order.ended
        }
        return repair(shown.problem, published, plans=plans, seed=day).plan

    def _publish(self, plan: Plan, day: int) -> None:
        for key, placed in plan.items():
            number, _, name = key.partition(" ")
            self.orders[int(number)].published[name] = placed.start + day * DAY

    def _work(self, day: int) -> None:
        """Plan, then work through the day in the order of the plan."""
        shown = self.shown(day)
        if not shown.problem.jobs:
            return
        plan = self._planned(shown, MORNING_PLANS, day)
        self._publish(plan, day)
        network = Network(shown.problem, plan)
        offset = (day // 7) * 10 + (day % 7) * 2
        lost = {
            person: {at - offset for at in self.truth.absent[person] if 0 <= at - offset < AHEAD // DAY}
            for person in self.truth.people
        }
        run = Run(network, work=shown.work, waits=shown.waits, lost=lost)
        run.live()
        for number, task in enumerate(shown.problem.tasks):
            if run.start[number] < DAY and not task.key.endswith("'"):
                self._note(task, plan[task.key], run.start[number], run.end[number], day)

    def _note(self, task: Task, placed: Placed, start: int, end: int, day: int) -> None:
        number, _, name = task.key.partition(" ")
        order, now = self.orders[int(number)], day * DAY
        order.began[name], order.ended[name] = now + start, now + end
        for person in placed.team if end > DAY else ():
            self.busy[person] = max(self.busy.get(person, 0), now + end)
        self.room_until += [now + start + slots for slots in task.keeps.values()]

    def shown(self, day: int, *, cautious: float = CAUTIOUS, empty: bool = False) -> Shown:
        """Return the problem of a morning, with slots from that midnight on."""
        return _Morning(self, day, cautious, empty).shown()


class _Morning:
    """The problem of a morning in the making."""

    def __init__(self, shop: Shop, day: int, cautious: float, empty: bool) -> None:
        self.shop, self.day, self.now, self.cautious, self.empty = shop, day, day * DAY, cautious, empty
        self.tasks: list[Task] = []
        self.lags: list[Lag] = []
        self.holds: list[Hold] = []
        self.spreads: dict[str, Spread] = {}
        self.wait_spreads: dict[tuple[str, str], Spread] = {}
        self.work: list[int] = []
        self.waits: list[int] = []

    def shown(self) -> Shown:
        open_now = [order for order in self.shop.orders if not order.done]
        for order in open_now:
            self._stages(order)
            self._waits(order)
        jobs = tuple(
            Job(key=str(order.number), last=(f"{order.number} deliver",), due=self._due(order))
            for order in open_now
        )
        problem = Problem(
            horizon=AHEAD, tasks=tuple(self.tasks), lags=tuple(self.lags), holds=tuple(self.holds),
            resources=self._resources(), jobs=jobs,
        )  # fmt: skip
        doubts = Uncertainty(
            tasks=self.spreads,
            lags=self.wait_spreads,
            interruptions=self.shop.planner.losses,
            shop_log_sd=self.shop.planner.pace.log_sd,
        )
        return Shown(problem, doubts, self.work, self.waits)

    def _due(self, order: Order) -> int | None:
        return None if order.due is None else max(0, order.due - self.now)

    def _resources(self) -> tuple[Resource, ...]:
        ahead = (self.shop.open >> self.now) & ((1 << AHEAD) - 1)
        busy = {} if self.empty else self.shop.busy
        people = (
            Resource(
                key=person, open=ahead,
                taken=((0, until - self.now, 1),) if (until := busy.get(person, 0)) > self.now else (),
            )
            for person in self.shop.truth.people
        )  # fmt: skip
        wet = () if self.empty else tuple((0, u - self.now, 1) for u in self.shop.room_until if u > self.now)
        room = Resource(key="room", capacity=2, taken=wet)
        return (*people, Resource(key="clamps", capacity=12), room)

    def _stages(self, order: Order) -> None:
        truth, heavy = self.shop.truth, order.size > 1.2 and len(self.shop.truth.people) > 1
        before = ""
        for name, kind, _ in STAGES:
            if kind and name not in order.drawn:
                order.drawn[name] = truth.minutes(kind, order.size, order.factor)
            parts = self.shop.planner.parts(name, kind, order.size)
            for key, slots, spread in parts:
                if key not in order.ended:
                    self._task(order, key, slots, spread, order.drawn.get(name, 0.0) / len(parts), heavy)
                    if (before, name) in FOLLOW or " part " in before:
                        self._lag(order, before, key, "", 0, None)
                before = key
        if "glue" in order.ended and "unclamp" not in order.ended:
            self.holds.append(Hold(resource="clamps", units=4, first="", last=f"{order.number} unclamp"))
        elif "unclamp" not in order.ended:
            first, last = f"{order.number} glue", f"{order.number} unclamp"
            self.holds.append(Hold(resource="clamps", units=4, first=first, last=last))

    def _task(
        self, order: Order, name: str, slots: int, spread: Spread | None, drawn: float, heavy: bool
    ) -> None:
        people = self.shop.truth.people
        key, both = f"{order.number} {name}", heavy and name in ("glue", "deliver")
        teams: tuple[tuple[str, ...], ...] = (people,) if both else tuple((person,) for person in people)
        self.tasks.append(
            Task(
                key=key, job=str(order.number), slots=slots, teams=teams if slots else (),
                keeps={"room": 60} if slots and name.startswith("coat") else {},
                starts=-1 if slots else 1 if name.endswith("'") else -1,
            )
        )  # fmt: skip
        self.work.append(max(1, round(drawn / 5)) if slots else 0)
        if spread is not None:
            self.spreads[key] = spread

    def _waits(self, order: Order) -> None:
        for first, then, kind, least, most in WAITS:
            if then not in order.ended:
                first_part = self.shop.planner.parts(
                    then, dict((n, k) for n, k, _ in STAGES)[then], order.size
                )[0][0]
                if first_part not in order.ended:
                    self._lag(order, first, first_part, kind, least, most)

    def _lag(self, order: Order, first: str, then: str, kind: str, least: float, most: float | None) -> None:
        """Add a wait; of one that runs already, what is left of it."""
        spread = self.shop.planner.wait[kind] if kind else None
        true = self._true(order, first, then, kind, least)
        planned = spread.minutes(self.cautious) if spread else least
        ended = order.placed if first == "order" else order.ended.get(first)
        name = first
        if ended is not None:
            gone = 5.0 * (self.now - ended)
            true, planned = true - gone, planned - gone
            if true <= 0 and (kind or planned <= 0):
                return
            planned = max(planned, 60.0) if kind else planned
            spread = _left(spread, gone) if spread else None
            most = None
            name = f"{first}'"
            if f"{order.number} {name}" not in {task.key for task in self.tasks}:
                self._task(order, name, 0, None, 0, False)
        self.lags.append(
            Lag(
                first=f"{order.number} {name}", then=f"{order.number} {then}", least=round(planned / 5),
                most=None if most is None else round(most / 5),
            )
        )  # fmt: skip
        self.waits.append(round(true / 5))
        if spread is not None:
            self.wait_spreads[f"{order.number} {name}", f"{order.number} {then}"] = spread

    def _true(self, order: Order, first: str, then: str, kind: str, least: float) -> float:
        if not kind:
            return least
        truth, key = self.shop.truth, (first, then)
        if key not in order.waits:
            order.waits[key] = truth.dice.gauss(0, 1)
        ended = order.placed if first == "order" else order.ended.get(first, self.now)
        return truth.waited(kind, order.waits[key], ended // DAY)


def _left(spread: Spread, gone: float) -> Spread:
    """Return what is left of a wait after some minutes: never less than a tenth of it."""
    left = max(spread.median - gone, spread.median / 10)
    return replace(
        spread, median=left, log_sd=min(1.0, spread.log_sd * sqrt(spread.median / left)), kind_sd=0
    )


def _day(today: int, slot: int | None) -> int | None:
    """Return the day by whose end a slot of a problem of today has come, as the midnight after it."""
    return None if slot is None else today + slot // DAY + 1
