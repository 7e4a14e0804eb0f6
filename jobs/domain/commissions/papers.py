"""Commands that issue the papers of a piece: job sheet, care sheet, delivery checklist."""

from typing import Any

from jobs.core.errors import NotYet
from jobs.domain.commissions.checklist import checklist_content
from jobs.domain.commissions.paper_content import care_content, job_sheet_content
from jobs.domain.papers.issuing import issue_paper, open_to
from jobs.domain.papers.letterhead import heading
from jobs.log.commands import CommandTransaction, command
from jobs.models import Commission, Paper


@command
def issue_job_sheet(tx: CommandTransaction, *, commission: str) -> None:
    """Issue the job sheet of a commission: a sheet for each piece, as calculated now."""
    found = _with_pieces(tx, commission, Paper.Kind.JOB_SHEET)
    _issue(tx, found, Paper.Kind.JOB_SHEET, job_sheet_content(found))


@command
def issue_care_sheet(tx: CommandTransaction, *, commission: str) -> None:
    """Issue the care sheet of a commission."""
    found = _with_pieces(tx, commission, Paper.Kind.CARE_SHEET)
    _issue(tx, found, Paper.Kind.CARE_SHEET, care_content(found))


def _with_pieces(tx: CommandTransaction, commission: str, kind: Paper.Kind) -> Commission:
    found = open_to(tx, commission, kind)
    if not found.pieces.exists():
        raise NotYet(
            "there is no piece yet", field="commission", value=commission, allowed="at least one piece"
        )
    return found


def _issue(tx: CommandTransaction, commission: Commission, kind: Paper.Kind, content: dict[str, Any]) -> None:
    issue_paper(
        tx, kind, {**heading(commission), **content},
        stream=f"commission:{commission.number}", commission=commission.number,
    )  # fmt: skip


@command
def issue_checklist(tx: CommandTransaction, *, commission: str) -> None:
    """Issue the delivery checklist of a commission in the shop or ready."""
    found = open_to(tx, commission, Paper.Kind.CHECKLIST)
    if not found.pieces.exists():
        raise NotYet(
            "there is nothing to deliver", field="commission", value=commission, allowed="at least one piece"
        )
    _issue(tx, found, Paper.Kind.CHECKLIST, checklist_content(found))
