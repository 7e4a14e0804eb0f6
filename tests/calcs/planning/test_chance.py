"""The simulation of a plan: against log-normal quantiles, and small shops worked out by hand."""

from dataclasses import replace

import pytest
from scipy import stats

from calcs.kit.errors import CalcError
from calcs.planning.chance import Chance, Held, chances
from calcs.planning.problem import Hold, Job, Lag, Placed, Plan, Problem, Resource, Task, slots_of, span
from calcs.planning.simulation.calendars import windows_of
from calcs.planning.simulation.draws import Draws
from calcs.planning.spreads import Interruptions, Spread, Uncertainty
from tests.benchmarks.planning.instances import shop as synthetic

from .test_checker import GOOD, SHOP

DAY = 288
HOURS = slots_of([(day * DAY + a, day * DAY + b) for day in range(40) for a, b in ((96, 144), (156, 204))])
UNHURT = Interruptions(lost_pct=0)
SURE = Uncertainty(interruptions=UNHURT, shop_log_sd=0, job_log_sd=0, waits_log_sd=0)
LONG = 400 * 5.0
"""Minutes of tasks that last 400 slots, so that rounding to slots does not matter."""


def shop(
    *tasks: Task, plan: dict[str, int], lags: tuple[Lag, ...] = (), **more: object
) -> tuple[Problem, Plan]:
    """Return a shop whose only job ends with its last task, and its plan: everybody does what they can."""
    people = sorted({person for task in tasks for team in task.teams for person in team})
    problem = Problem(
        horizon=40 * DAY, tasks=tasks, lags=lags, jobs=(Job(key="top", last=(tasks[-1].key,)),),
        resources=tuple(Resource(key=person, open=HOURS) for person in people),
    )  # fmt: skip
    teams = {task.key: task.teams[0] if task.teams else () for task in tasks}
    return replace(problem, **more), {k: Placed(start=at, team=teams[k]) for k, at in plan.items()}


def ann(key: str, slots: int, **more: object) -> Task:
    return replace(Task(key=key, job="top", slots=slots, teams=(("Ann",),)), **more)


def ends(problem: Problem, plan: Plan, doubts: Uncertainty = SURE, runs: int = 20) -> Chance:
    return chances(problem, plan, doubts, runs=runs)["top"]


@pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 0.95])
def test_one_task_ends_by_the_quantiles_of_its_log_normal_time(share: float) -> None:
    """SciPy 1.17, lognorm.ppf. 4,000 runs: the standard error at 95 % is 0.013 of the logarithm."""
    problem, plan = shop(Task(key="a", job="top", slots=400), plan={"a": 0})
    doubts = replace(SURE, tasks={"a": Spread(median=LONG, log_sd=0.4)})
    expected = float(stats.lognorm.ppf(share, s=0.4, scale=400))
    assert ends(problem, plan, doubts, runs=4000).slot_at(share) == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize("share", [0.5, 0.95])
def test_a_commission_waits_for_the_later_of_two_tasks(share: float) -> None:
    """Both have ended with the chance F(t) squared."""
    two = (Task(key="a", job="top", slots=400), Task(key="b", job="top", slots=400))
    problem, plan = shop(*two, plan={"a": 0, "b": 0}, jobs=(Job(key="top", last=("a", "b")),))
    doubts = replace(SURE, tasks={key: Spread(median=LONG, log_sd=0.4) for key in "ab"})
    expected = float(stats.lognorm.ppf(share**0.5, s=0.4, scale=400))
    assert ends(problem, plan, doubts, runs=4000).slot_at(share) == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize(
    "doubts",
    [
        replace(SURE, tasks={key: Spread(median=LONG, kind="sanding", kind_sd=0.4) for key in "ab"}),
        replace(SURE, tasks={key: Spread(median=LONG) for key in "ab"}, shop_log_sd=0.4),
        replace(SURE, tasks={key: Spread(median=LONG) for key in "ab"}, job_log_sd=0.4),
    ],
)
def test_what_tasks_share_does_not_average_out(doubts: Uncertainty) -> None:
    """Two tasks that err together last twice one: the quantile of the sum is the sum of the quantiles."""
    two = (Task(key="a", job="top", slots=400), Task(key="b", job="top", slots=400))
    problem, plan = shop(*two, plan={"a": 0, "b": 400}, lags=(Lag(first="a", then="b"),))
    expected = 2 * float(stats.lognorm.ppf(0.95, s=0.4, scale=400))
    assert ends(problem, plan, doubts, runs=4000).slot_at(0.95) == pytest.approx(expected, rel=0.05)


def test_the_weather_that_waits_share_is_a_part_of_their_spread() -> None:
    task, then = Task(key="a", job="top", slots=0), Task(key="b", job="top", slots=0)
    problem, plan = shop(task, then, plan={"a": 0, "b": 400}, lags=(Lag(first="a", then="b", least=400),))
    doubts = replace(SURE, lags={("a", "b"): Spread(median=LONG, log_sd=0.5)}, waits_log_sd=0.4)
    expected = float(stats.lognorm.ppf(0.8, s=0.5, scale=400))
    assert ends(problem, plan, doubts, runs=4000).slot_at(0.8) == pytest.approx(expected, rel=0.04)


def test_without_doubts_each_task_starts_as_early_as_it_can() -> None:
    """Ann coats at 162, right after the clamps; Ben sands at 118, right after he has scraped."""
    lived = chances(SHOP, GOOD, SURE, runs=20)
    assert set(lived["table"].ends) == {162 + 6 + 60}
    assert set(lived["bench"].ends) == {114 + 4 + 10}


def test_half_days_are_lost_as_often_and_as_long_as_stated() -> None:
    draws = Draws(
        replace(SURE, interruptions=Interruptions(lost_pct=10, half_days=3, log_sd=0)), runs=400, seed=1
    )
    lost = draws.lost("Ann", [(at, at + 1) for at in range(500)])
    count = sum(map(len, lost))
    begun = sum(at - 1 not in run for run in lost for at in run)
    assert count / (400 * 500) == pytest.approx(0.10, rel=0.05)
    assert count / begun == pytest.approx(3.0, rel=0.06), "two losses never touch"


def test_a_person_who_loses_the_morning_begins_in_the_afternoon() -> None:
    problem, plan = shop(ann("a", 10), plan={"a": 96})
    doubts = replace(SURE, interruptions=Interruptions(lost_pct=30, half_days=1, log_sd=0))
    lived = ends(problem, plan, doubts, runs=400)
    assert set(lived.ends) <= {first + 10 for first, _ in windows_of(HOURS, 40 * DAY)}
    assert lived.share_by(106) == pytest.approx(0.7, abs=0.07)


def test_one_person_does_two_tasks_one_after_the_other() -> None:
    problem, plan = shop(ann("a", 20), ann("b", 20), plan={"a": 96, "b": 116})
    doubts = replace(SURE, tasks={"a": Spread(median=150)})
    assert set(ends(problem, plan, doubts).ends) == {158}, "from 126 on, 18 slots before noon and 2 after"


def test_another_who_can_do_it_steps_in() -> None:
    """Ann is at it until slot 144; Ben begins at 116, as planned for Ann."""
    b = replace(ann("b", 20), teams=(("Ann",), ("Ben",)))
    problem, plan = shop(
        ann("a", 20), b, plan={"a": 96, "b": 116}, lags=(Lag(first="a", then="b", least=-99),)
    )
    late = replace(SURE, tasks={"a": Spread(median=240)})
    assert set(ends(problem, plan, late).ends) == {116}


def test_work_goes_on_after_the_break_and_glue_is_not_begun_before_it() -> None:
    sanding, plan = shop(ann("a", 30), plan={"a": 96}, unwanted=0)
    assert set(ends(sanding, {"a": Placed(start=120, team=("Ann",))}).ends) == {126}, "as early as it can"
    begun = replace(sanding, tasks=(ann("a", 30, starts=span(124, 900)),))
    assert set(ends(begun, plan).ends) == {156 + 10}, "20 slots before noon"
    scrape = ann("scrape", 2)
    limited = Lag(first="a", then="scrape", least=2, most=8)
    glue, plan = shop(
        ann("a", 30, starts=span(113, 900)), scrape, plan={"a": 156, "scrape": 188}, lags=(limited,)
    )
    assert set(ends(glue, plan).ends) == {156 + 30 + 2 + 2}, "at 113 the scraping would fall into noon"


def test_clamps_are_free_when_the_last_task_of_their_hold_ends() -> None:
    tasks = (ann("glue", 4), ann("off", 2), ann("next", 4))
    problem, plan = shop(
        *tasks, plan={"glue": 96, "off": 156, "next": 158}, lags=(Lag(first="glue", then="off", least=56),),
        holds=(Hold(resource="clamps", units=6, first="glue", last="off"),),
    )  # fmt: skip
    problem = replace(
        problem, resources=(*problem.resources, Resource(key="clamps", capacity=10)),
        tasks=(*tasks[:2], replace(tasks[2], uses={"clamps": 5})),
    )  # fmt: skip
    doubts = replace(SURE, lags={("glue", "off"): Spread(median=350)})
    lived = ends(problem, plan, doubts)
    assert set(lived.ends) == {100 + 70 + 2 + 4}
    assert lived.held[0] == Held(kind="resource", key="clamps", slots=172 - 96)


def test_clamps_of_one_task_alone_are_free_when_it_ends() -> None:
    """Two glue-ups of four hours want all clamps: the second begins after noon."""
    problem, plan = shop(
        ann("a", 48), replace(ann("b", 48), teams=(("Ben",),)), plan={"a": 96, "b": 156},
        holds=tuple(Hold(resource="clamps", units=6, first=key, last=key) for key in "ab"),
    )  # fmt: skip
    problem = replace(problem, resources=(*problem.resources, Resource(key="clamps", capacity=6)))
    assert set(ends(problem, plan).ends) == {204}


def test_what_held_it_up_is_followed_back_along_the_waits() -> None:
    problem, plan = shop(
        ann("a", 4),
        ann("b", 4),
        plan={"a": 96, "b": DAY + 96},
        lags=(Lag(first="a", then="b", least=DAY - 4),),
    )
    assert ends(problem, plan).held == (
        Held(kind="wait", key="a b", slots=DAY - 4),
        Held(kind="work", key="a", slots=4),
        Held(kind="work", key="b", slots=4),
    )


def test_another_commission_in_the_problem_leaves_the_draws_of_the_first_alone() -> None:
    doubts = Uncertainty(tasks={"a": Spread(median=600, log_sd=0.5)})
    alone, plan = shop(ann("a", 120), plan={"a": 96})
    both, both_plan = shop(ann("a", 120), ann("b", 90), plan={"a": 96, "b": 1000})
    both = replace(both, jobs=(*alone.jobs, Job(key="bench", last=("b",))))
    assert ends(both, both_plan, doubts).ends == ends(alone, plan, doubts).ends
    assert ends(alone, plan, doubts) == ends(alone, plan, doubts)
    assert chances(alone, plan, doubts, runs=20, seed=1)["top"].ends != ends(alone, plan, doubts).ends


def test_what_no_run_ends_before_the_horizon_has_no_day() -> None:
    problem, plan = shop(ann("a", 90), plan={"a": 96})
    lived = ends(problem, plan, replace(SURE, tasks={"a": Spread(median=96 * 5 * 40, log_sd=0.5)}), runs=100)
    assert lived.slot_at(0.3) is not None and lived.slot_at(0.95) is None


def test_a_delivery_that_is_missed_is_made_in_the_next_open_time() -> None:
    problem, plan = shop(
        ann("a", 20), ann("deliver", 6, starts=span(130, 1)), plan={"a": 96, "deliver": 130},
        lags=(Lag(first="a", then="deliver"),),
    )  # fmt: skip
    assert set(ends(problem, plan, replace(SURE, tasks={"a": Spread(median=200)})).ends) == {142}


def test_without_doubts_a_known_plan_of_twelve_commissions_is_kept() -> None:
    """The best plan of a synthetic shop; some are ready earlier, as nothing waits for its hour."""
    known = synthetic("m2_s1")
    slots = {task.key: task.slots for task in known.problem.tasks}
    lived = chances(known.problem, known.best_plan, SURE, runs=20)
    for job in known.problem.jobs:
        planned = max(known.best_plan[key].start + slots[key] for key in job.last)
        assert 0.95 * planned <= lived[job.key].ends[-1] <= planned


@pytest.mark.parametrize("runs", [19, 100_001])
def test_too_few_or_too_many_runs_are_refused(runs: int) -> None:
    with pytest.raises(CalcError, match="runs"):
        chances(SHOP, GOOD, SURE, runs=runs)


def test_a_chance_is_the_place_of_an_end_among_one_more() -> None:
    chance = Chance(ends=tuple(range(1, 100)), horizon=500)
    assert [chance.slot_at(share) for share in (0.5, 0.8, 0.95)] == [50, 80, 95]
    assert chance.share_by(80) == pytest.approx(80 / 99)
