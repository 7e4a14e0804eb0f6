"""The steps of a commission, and the milestone stages that move it on."""

from collections.abc import Sequence

from jobs.core.errors import RestsOnPaper, WrongState
from jobs.domain.checks import refuse_if_forgotten
from jobs.log.commands import CommandTransaction
from jobs.log.private_texts import store_private_text
from jobs.log.projections import rows
from jobs.models import Commission, Invoice, Stage

Step = Commission.Step
MOVES: dict[str, tuple[str, ...]] = {
    Step.ENQUIRY: (Step.QUOTED, Step.ACCEPTED, Step.DECLINED, Step.CANCELLED),
    Step.QUOTED: (Step.ACCEPTED, Step.DECLINED, Step.CANCELLED),
    Step.ACCEPTED: (Step.IN_SHOP, Step.CANCELLED),
    Step.IN_SHOP: (Step.READY, Step.CANCELLED),
    Step.READY: (Step.IN_SHOP, Step.DELIVERED, Step.CANCELLED),
    Step.DELIVERED: (Step.READY, Step.CLOSED),
    Step.CLOSED: (Step.DELIVERED,),
}
"""Steps that may follow each step. A reopened stage moves a commission back."""
BY_HAND = (Step.QUOTED, Step.ACCEPTED, Step.DECLINED, Step.CANCELLED)

STEPS = {"ready": Step.READY, "delivered": Step.DELIVERED, "closed": Step.CLOSED}
"""The step of a commission once every piece has finished its stage of this mark."""
PATH = (Step.ACCEPTED, Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED)


def follow_milestone(tx: CommandTransaction, commission: Commission, mark: str) -> None:
    """Move the commission up to this mark once every piece has finished its stage of the mark."""
    stages = Stage.objects.filter(piece__commission=commission)
    marked = [s for s in stages if s.spec["marks"] == mark]
    if not marked or any(s.step != Stage.Step.DONE for s in marked):
        return
    rows.write_commissions()
    commission.refresh_from_db()
    if commission.step not in PATH:
        return
    for step in PATH[PATH.index(Step(commission.step)) + 1 : PATH.index(STEPS[mark]) + 1]:
        move(tx, commission, step)


def unfollow_milestone(tx: CommandTransaction, commission: Commission, mark: str) -> None:
    """Move a commission that stands at this mark back to the step before it."""
    if commission.step == STEPS[mark]:
        move(tx, commission, PATH[PATH.index(STEPS[mark]) - 1])


def refuse_if_invoiced(commission: Commission, invoices: Sequence[Invoice]) -> None:
    """Refuse while a valid invoice rests on this commission."""
    if invoices:
        number = invoices[0].paper.number
        says = f"invoice {number} rests on this; it has to be credited first"
        raise RestsOnPaper(says, field="commission", value=commission.number, extra={"papers": [number]})


def move(tx: CommandTransaction, commission: Commission, to: str, reason: str = "") -> None:
    """Append a move to another step, or refuse it, naming the possible moves. Called by other commands."""
    refuse_if_forgotten(commission.client)
    allowed = MOVES.get(commission.step, ())
    if to not in allowed:
        says = f"commission {commission.number} is {commission.step}; it cannot become {to}"
        raise WrongState(says, field="to", value=to, allowed=", ".join(allowed) or "nothing more")
    tx.append(
        "commission_moved",
        f"commission:{commission.number}",
        {
            "number": commission.number,
            "to": to,
            "reason": store_private_text(reason, field="reason"),
        },
    )
    commission.step = to
