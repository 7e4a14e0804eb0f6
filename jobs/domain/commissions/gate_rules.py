"""Gate rules about papers of a commission."""

from jobs.domain.gate_rules import gate_rule
from jobs.models import Commission, Paper


@gate_rule("checklist-issued")
def no_checklist(commission: Commission) -> str:
    """Return that no delivery checklist is issued yet; empty where one is."""
    issued = commission.papers.filter(kind=Paper.CHECKLIST, withdrawn_at=None).exists()
    return "" if issued else "no delivery checklist yet"
