"""Gate rules about money."""

from jobs.domain.billing.balances import balance
from jobs.domain.gate_rules import gate_rule
from jobs.models import Commission, Paper


@gate_rule("paid-up")
def not_paid(commission: Commission) -> str:
    """Return the amount owed, or that the whole has no invoice yet; empty where all is paid."""
    whole = commission.papers.filter(kind=Paper.INVOICE, what="", withdrawn_at=None)
    owed = balance(commission).owed if whole.exists() else None
    return "no invoice yet" if owed is None else f"{owed} owed" if owed > 0 else ""
