"""Marks: stages with which a commission moves on, once every piece has come so far."""

from jobs.domain.commissions.commissions import move
from jobs.log.commands import Writing
from jobs.models import Commission, Stage

Step = Commission.Step
STEPS = {"ready": Step.READY, "delivered": Step.DELIVERED, "closed": Step.CLOSED}
"""Where a commission stands once every piece has finished its stage of this mark."""
PATH = (Step.ACCEPTED, Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED)


def follow_mark(log: Writing, commission: Commission, mark: str) -> None:
    """Move the commission up to this mark, if it has not come so far and no piece is short of it."""
    stages = Stage.objects.filter(piece__commission=commission)
    marked = [s for s in stages if s.spec["marks"] == mark]
    if not marked or any(s.step != Stage.Step.DONE for s in marked):
        return
    commission.refresh_from_db()
    if commission.step not in PATH:
        return
    for step in PATH[PATH.index(Step(commission.step)) + 1 : PATH.index(STEPS[mark]) + 1]:
        move(log, commission, step)


def unfollow_mark(log: Writing, commission: Commission, mark: str) -> None:
    """The way back: a commission that had moved by this mark returns to the step before."""
    if commission.step == STEPS[mark]:
        move(log, commission, PATH[PATH.index(STEPS[mark]) - 1])
