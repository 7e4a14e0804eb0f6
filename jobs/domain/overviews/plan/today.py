"""What the plan has for today, for the bench."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from jobs.domain.overviews.plan.blocks import day_of
from jobs.domain.overviews.plan.names import Key
from jobs.domain.overviews.plan.reasons import why_of
from jobs.domain.overviews.ranking import Job
from jobs.domain.planning.published import PlannedWork, Published


def planned_today(plan: Published | None, now: datetime) -> dict[Key, PlannedWork]:
    """Return the first stretch of each stage that the plan has for today; none without a plan."""
    found: dict[Key, PlannedWork] = {}
    for one in plan.work if plan else ():
        if not one.maybe and day_of(one.begins) == day_of(now) and one.ends > now:
            found.setdefault((one.piece, one.stage), one)
    return found


def by_plan(job: Job, planned: Mapping[Key, PlannedWork], key: Key, person: str) -> Job:
    """Return a job with its place in today's plan. For the wall, ``person`` is empty: nobody comes first."""
    one = planned.get(key)
    if one is None:
        return job
    others = bool(person and one.people and person not in one.people)
    return replace(job, planned_at=one.begins, for_others=others)


def of_plan(one: PlannedWork | None, plan: Published | None, titles: Mapping[str, str]) -> dict[str, Any]:
    """Return what the bench says of a job's place in today's plan; nothing where the plan has none."""
    if one is None or plan is None:
        return {}
    why, about = why_of(one, plan, titles)
    told = {"plan_why": why, "plan_about": about, "pinned": one.pinned}
    return {**told, "planned_at": one.begins, "planned_for": list(one.people)}
