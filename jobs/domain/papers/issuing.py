"""Commands on papers: issue, withdraw, and record the file that the worker rendered."""

from datetime import date
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import dumps
from jobs.core.errors import AlreadyDone, Invalid, WrongState
from jobs.domain import lookups
from jobs.domain.settings import settings
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Paper

RENDER = "render paper"
"""The outbox message that makes the worker render an issued paper."""
PREFIX = {
    Paper.Kind.CHECKLIST: "D",
    Paper.Kind.INVOICE: "I",
    Paper.Kind.CREDIT: "C",
    Paper.Kind.RECEIPT: "R",
    Paper.Kind.STATEMENT: "S",
    Paper.Kind.QUOTE: "Q",
    Paper.Kind.CHANGE: "X",
    Paper.Kind.JOB_SHEET: "J",
    Paper.Kind.CARE_SHEET: "K",
}
HELD = (Paper.Kind.INVOICE, Paper.Kind.CREDIT, Paper.Kind.RECEIPT)
"""Papers whose text the law retains."""
Step = Commission.Step
STEPS: dict[str, tuple[Step, ...]] = {
    Paper.Kind.CHECKLIST: (Step.IN_SHOP, Step.READY),
    Paper.Kind.INVOICE: (Step.ACCEPTED, Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
    Paper.Kind.JOB_SHEET: (Step.ACCEPTED, Step.IN_SHOP, Step.READY),
    Paper.Kind.CARE_SHEET: (Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
}
"""Steps of a commission that allow each paper."""
AGAIN = {
    Paper.Kind.CHECKLIST: "withdraw it first",
    Paper.Kind.JOB_SHEET: "withdraw it first",
    Paper.Kind.CARE_SHEET: "withdraw it first",
    Paper.Kind.INVOICE: "one invoice for the agreed price; credit that one first",
}


def open_to(tx: CommandTransaction, commission: str, kind: Paper.Kind) -> Commission:
    """Return the commission; refuse if its step does not allow this paper or a valid one exists."""
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    if found.step not in STEPS[kind]:
        raise WrongState(
            f"commission {commission} is {found.step}",
            field="commission",
            value=commission,
            allowed=f"commissions that are {', '.join(STEPS[kind])}",
        )
    earlier = found.papers.filter(kind=kind, what="", withdrawn_at=None).first()
    if earlier is not None:
        raise AlreadyDone(
            f"{kind.label.lower()} {earlier.number} is issued",
            field="commission",
            value=commission,
            allowed=AGAIN[kind],
            extra={"papers": [earlier.number]},
        )
    return found


@command
def withdraw_paper(tx: CommandTransaction, *, paper: str, reason: str) -> None:
    """Withdraw a checklist, job sheet or care sheet; its number and file stay.

    An invoice is credited instead.
    """
    found = lookups.paper(paper)
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    if found.is_money:
        raise WrongState(
            f"{found.get_kind_display().lower()} {paper} cannot be withdrawn; an invoice is credited",
            field="paper",
            value=paper,
            allowed="delivery checklists, job sheets, care sheets",
        )
    if found.withdrawn_at:
        raise AlreadyDone(f"{paper} is withdrawn", field="paper", value=paper, allowed="a paper that holds")
    if not reason.strip():
        raise Invalid("withdrawing needs a reason", field="reason", value=reason, allowed="a sentence why")
    tx.append(
        "paper_withdrawn",
        found.stream,
        {
            "paper": paper,
            "reason": store_private_text(reason, field="reason"),
        },
    )


@command
def record_rendering(tx: CommandTransaction, *, paper: str, sha256: str, size_bytes: int) -> None:
    """Record the file of an issued paper; its hash never changes."""
    found = lookups.paper(paper)
    if found.file_sha256:
        raise AlreadyDone(
            f"{paper} has its file", field="paper", value=paper, allowed="a paper being prepared"
        )
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
    kind: Paper.Kind,
    content: dict[str, Any],
    *,
    stream: str,
    commission: str = "",
    invoice: dict[str, Any] | None = None,
    credits: str = "",
    what: str = "",
    client: int | None = None,
    payment: int | None = None,
) -> None:
    """Number a paper, freeze its content and queue its rendering. Called by other commands."""
    number, issued_on = _next_number(tx, kind), timezone.localtime(tx.call.at).date()
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


def _next_number(tx: CommandTransaction, kind: Paper.Kind) -> str:
    """Return the next number of this kind and year; the locked head of the log prevents gaps."""
    year = timezone.localtime(tx.call.now).year
    prefix = f"{PREFIX[kind]}{year}-"
    return f"{prefix}{Paper.objects.filter(number__startswith=prefix).count() + 1:04d}"


def _hold(kind: Paper.Kind, issued_on: date) -> date | None:
    """Return the last day of legal retention for this kind of paper; None without one.

    The shop sets the number of years.
    """
    years = settings()["keep_papers_years"]
    return date(issued_on.year + years, 12, 31) if kind in HELD and years else None
