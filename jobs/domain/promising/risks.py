"""Which promises are at risk by the published plans: told once, and not for every wobble of a plan."""

from dataclasses import replace
from datetime import datetime, timedelta

from django.utils import timezone

from jobs.domain.planning.published import Finish, Published
from jobs.domain.promising.helps import what_helps
from jobs.domain.promising.trying import tried
from jobs.models import Commission, PromiseRisk, PromiseTold

IN_WORK = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
PLANS = 2
"""Plans in a row that have to agree, where the day is passed by ``SURE_DAYS`` or less."""
SURE_DAYS = 1
SOON = timedelta(hours=3)
"""How long after a promise a plan still tells what it would have told then."""
NOTHING = "nothing:"
"""Kept where none of the changes that were tried helps."""


def judge(plan: Published, now: datetime) -> set[str]:
    """Update which promises are at risk by a new plan.

    Returns
    -------
    set of str
        The commissions whose promise came to be at risk, or no longer is.
    """
    over = {one.commission: one for one in plan.finishes if _is_over(one)}
    known = {row.commission.number: row for row in PromiseRisk.objects.select_related("commission")}
    found = Commission.objects.filter(number__in=over.keys() - known.keys(), step__in=IN_WORK)
    changed = {number for number, row in known.items() if _judged(row, over.get(number), now)}
    for commission in found:
        row = PromiseRisk(commission=commission)
        changed |= {commission.number} if _judged(row, over[commission.number], now) else set()
    return changed


def _is_over(finish: Finish) -> bool:
    return not finish.maybe and _days_over(finish) > 0


def _days_over(finish: Finish) -> int:
    """Return the days from the promise to the 8 in 10 day; 0 where either is not known."""
    if finish.promised is None or finish.in_eight_of_ten is None:
        return 0
    return (finish.in_eight_of_ten - finish.promised).days


def _judged(row: PromiseRisk, finish: Finish | None, now: datetime) -> bool:
    """Write how a promise stands; return whether it came to be at risk, or no longer is."""
    if row.commission.step not in IN_WORK:
        return _cleared(row)
    if finish is None:
        row.calm, row.plans = row.calm + 1, 0
        if row.calm >= PLANS:
            return _cleared(row)
        row.save()
        return False
    was = row.at_risk_since
    assert finish.promised is not None and finish.in_eight_of_ten is not None, "it is over its promise"
    if row.promised != finish.promised:
        row.plans, row.at_risk_since, row.helps = 0, None, ""
    row.promised, row.in_eight_of_ten = finish.promised, finish.in_eight_of_ten
    row.plans, row.calm, row.held_by = row.plans + 1, 0, ":".join(finish.held_by)[:200]
    if row.at_risk_since is None and (row.plans >= PLANS or _days_over(finish) > SURE_DAYS):
        row.at_risk_since = now
    row.save()
    return was != row.at_risk_since


def _cleared(row: PromiseRisk) -> bool:
    row.delete()
    return row.at_risk_since is not None


def risk_of(number: str) -> PromiseRisk | None:
    """Return how a promise is at risk; None where it is not."""
    return PromiseRisk.objects.filter(commission__number=number, at_risk_since__isnull=False).first()


def with_risks(plan: Published) -> Published:
    """Return a plan whose finishes say since when their promise is at risk, and what would help."""
    found = PromiseRisk.objects.filter(at_risk_since__isnull=False).select_related("commission")
    rows = {row.commission.number: row for row in found}
    return replace(plan, finishes=tuple(_at_risk(one, rows.get(one.commission)) for one in plan.finishes))


def _at_risk(finish: Finish, row: PromiseRisk | None) -> Finish:
    if row is None or row.at_risk_since is None:
        return finish
    kind, _, about = row.helps.partition(":")
    return replace(finish, risk_since=timezone.localdate(row.at_risk_since), helps=(kind, about))


def without_help() -> list[str]:
    """Return the promises at risk for which nothing was looked for yet."""
    found = PromiseRisk.objects.filter(at_risk_since__isnull=False, helps="")
    return list(found.values_list("commission__number", flat=True))


def find_help(number: str, now: datetime) -> None:
    """Try what would help a promise at risk, and keep what does; nothing where none of it does."""
    row = risk_of(number)
    if row is None:
        return
    found = what_helps(tried(now), number, row.promised)
    kept = f"{found.kind}:{found.about}" if found else NOTHING
    PromiseRisk.objects.filter(commission=row.commission_id, at_risk_since=row.at_risk_since).update(
        helps=kept
    )


def keep_later(plan: Published, now: datetime) -> None:
    """Keep what a plan tells of promises that were made while no plan knew their commission.

    A quote that was just issued is in the plan a moment later.
    """
    days = ("ready_on", "in_half", "in_eight_of_ten", "in_nineteen_of_twenty")
    finishes = {one.commission: one for one in plan.finishes if one.in_eight_of_ten}
    for told in PromiseTold.objects.filter(in_eight_of_ten=None, told_at__gte=now - SOON):
        if finish := finishes.get(told.commission):
            for name in days:
                setattr(told, name, getattr(finish, name))
            told.save()
