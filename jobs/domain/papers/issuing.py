"""Commands on papers: issue, withdraw, and record the file that the worker rendered."""

from datetime import date
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import dumps
from jobs.core.errors import AlreadyDone, NotYet, WrongState
from jobs.domain import lookups
from jobs.domain.checks import about, the_reason
from jobs.domain.papers.kinds import paper_kind, paper_title, papers_of_work, work_paper
from jobs.domain.papers.letterhead import heading
from jobs.domain.settings import settings
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Paper

RENDER = "render paper"
"""The outbox message that makes the worker render an issued paper."""


def open_to(tx: CommandTransaction, commission: str, key: str) -> Commission:
    """Return the commission; refuse if its step does not allow this paper or a valid one exists."""
    kind, found = paper_kind(key), lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    if found.step not in kind.steps:
        raise about(found, f"is {found.step}", allowed=f"commissions that are {', '.join(kind.steps)}")
    earlier = found.papers.filter(kind=key, what="", withdrawn_at=None).first()
    if earlier is not None:
        raise AlreadyDone(
            f"{kind.title.lower()} {earlier.number} is issued",
            field="commission",
            value=commission,
            allowed=kind.before_another,
            extra={"papers": [earlier.number]},
        )
    return found


@command
def issue_work_paper(tx: CommandTransaction, *, kind: str, commission: str) -> None:
    """Issue a paper of the work, which says what holds of its commission now."""
    paper, found = work_paper(kind), open_to(tx, commission, kind)
    if paper.without_piece and not found.pieces.exists():
        raise NotYet(paper.without_piece, field="commission", value=commission, allowed="at least one piece")
    issue_paper(
        tx, kind, {**heading(found), **paper.content(found)},
        stream=f"commission:{found.number}", commission=found.number,
    )  # fmt: skip


@command
def withdraw_paper(tx: CommandTransaction, *, paper: str, reason: str) -> None:
    """Withdraw a paper of the work; its number and file stay. An invoice is credited instead."""
    found = lookups.paper(paper)
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    if found.is_money:
        raise WrongState(
            f"{paper_title(found.kind).lower()} {paper} cannot be withdrawn; an invoice is credited",
            field="paper",
            value=paper,
            allowed=", ".join(kind.title.lower() for kind in papers_of_work()),
        )
    if found.withdrawn_at:
        raise about(found, "is withdrawn", allowed="a paper that holds", error=AlreadyDone)
    tx.append(
        "paper_withdrawn", found.stream, {"paper": paper, "reason": the_reason(reason, what="withdrawing")}
    )


@command
def record_rendering(tx: CommandTransaction, *, paper: str, sha256: str, size_bytes: int) -> None:
    """Record the file of an issued paper; its hash never changes."""
    found = lookups.paper(paper)
    if found.file_sha256:
        raise about(found, "has its file", allowed="a paper being prepared", error=AlreadyDone)
    tx.append(
        "paper_rendered",
        found.stream,
        {
            "paper": paper,
            "sha256": sha256,
            "bytes": size_bytes,
        },
    )


def issue_paper(
    tx: CommandTransaction,
    kind: str,
    content: dict[str, Any],
    *,
    stream: str,
    commission: str = "",
    invoice: dict[str, Any] | None = None,
    credits: str = "",
    what: str = "",
    client: int | None = None,
    payment: int | None = None,
) -> str:
    """Number a paper, freeze its content and queue its rendering; return the number. Called by commands."""
    number, issued_on = _next_number(tx, kind), tx.call.day
    frozen = dumps({**content, "number": number, "kind": kind, "issued_on": issued_on})
    tx.append(
        "paper_issued",
        stream,
        {
            "paper": number,
            "kind": kind,
            "commission": commission,
            "client": client,
            "payment": payment,
            "size": settings()["paper_size"],
            "frozen": store_private_text(
                frozen, field="frozen", longest=1_000_000, hold_until=_hold(kind, issued_on)
            ),
            "invoice": invoice,
            "credits": credits,
            "what": what,
        },
    )
    tx.effect(RENDER, number)
    return number


def _next_number(tx: CommandTransaction, kind: str) -> str:
    """Return the next number of this kind and year; the locked head of the log prevents gaps."""
    year = timezone.localtime(tx.call.now).year
    prefix = f"{paper_kind(kind).prefix}{year}-"
    return f"{prefix}{Paper.objects.filter(number__startswith=prefix).count() + 1:04d}"


def _hold(kind: str, issued_on: date) -> date | None:
    """Return the last day of legal retention for this kind of paper; None without one.

    The shop sets the number of years.
    """
    years = settings()["keep_papers_years"]
    return date(issued_on.year + years, 12, 31) if paper_kind(kind).is_kept_by_law and years else None
