"""Gate rules about money."""

from jobs.domain.billing.balances import account
from jobs.domain.gate_rules import gate_rule
from jobs.domain.papers.letterhead import currency_of
from jobs.domain.settings import settings
from jobs.models import Commission


@gate_rule("paid-up")
def not_paid(commission: Commission) -> str:
    """Return the amount owed, or that the whole has no invoice yet; empty where all is paid."""
    held = account(commission)
    return "no invoice yet" if not held.is_billed else f"{held.owed} owed" if held.owed > 0 else ""


@gate_rule("deposit-received")
def deposit_missing(commission: Commission) -> str:
    """Return what of the deposit has not come; empty without a deposit, or where the shop does not wait."""
    if settings()["deposit_before_wood"] == "no":
        return ""
    left = account(commission).deposit_open
    return f"{left:,.2f} {currency_of(commission)} still to come" if left else ""
