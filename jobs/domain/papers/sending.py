"""Papers sent to a client: by mail with a link to the client's page, or handed over."""

from collections.abc import Iterable
from typing import Any

from jobs.core.errors import Invalid
from jobs.domain import lookups
from jobs.domain.checks import check_email
from jobs.log.commands import CommandTransaction, command
from jobs.log.outbox import mail_standing
from jobs.log.private_texts import Texts, read, refs_of, store_private_text
from jobs.log.projections import rows
from jobs.models import Client, OutboxMessage, Paper, PaperSending
from jobs.models.bases import row_key

SEND_PAPER = "send paper"
"""The outbox message that mails a paper; its subject is the key of the sending."""
LONGEST_WORDS = 4000
LONGEST_ADDRESS = 254


def send_paper(tx: CommandTransaction, paper: Paper, *, occasion: str, to: str = "", words: str = "") -> None:
    """Queue the mail of a paper to an address; without one the paper was handed over.

    Called by other commands.
    """
    rows.know_paper(paper)
    event = tx.append(
        "paper_sent",
        paper.stream,
        {
            "paper": paper.number,
            "occasion": occasion,
            "by_mail": bool(to),
            "to": store_private_text(to, field="to", longest=LONGEST_ADDRESS, one_line=True),
            "words": store_private_text(words, field="words", longest=LONGEST_WORDS),
        },
    )
    if to:
        tx.effect(SEND_PAPER, str(row_key(event.seq)))


def address_for(tx: CommandTransaction, client: Client, to: str) -> str:
    """Return the address of a mail; one that is given is kept as the client's. Called by other commands."""
    known, given = read(client.email_ref), to.strip()
    if not (given or known):
        raise Invalid("no mail address is known", field="to", value=to, allowed="name@example.org")
    if not given or given == known:
        return known
    check_email(given, field="to")
    kept = store_private_text(given, field="to", longest=LONGEST_ADDRESS, one_line=True)
    tx.append("client_changed", f"client:{client.id}", {"client": client.id, "email": kept})
    return given


@command
def record_opening(tx: CommandTransaction, *, sending: int) -> None:
    """Record that the client opened the page by the link of this mail; only the first time is kept."""
    found = _sending(sending)
    if found.opened_at is None:
        tx.append("paper_opened", found.paper.stream, {"paper": found.paper.number, "sending": sending})


@command
def record_failure(tx: CommandTransaction, *, sending: int, why: str) -> None:
    """Record that a mail never went out, and why."""
    found = _sending(sending)
    if found.failed_at is None:
        told = {"paper": found.paper.number, "sending": sending, "why": why[:200]}
        tx.append("paper_not_delivered", found.paper.stream, told)


def _sending(key: int) -> PaperSending:
    rows = PaperSending.objects.select_related("paper__commission", "paper__client").filter(id=key)
    return lookups.existing(rows, "sending", key)


def sending_views(sendings: Iterable[PaperSending]) -> list[dict[str, Any]]:
    """Return sendings, each with the standing of its mail."""
    sendings = list(sendings)
    texts = Texts(refs_of(sendings))
    keys = [str(one.id) for one in sendings if one.by_mail]
    messages = {m.subject: m for m in OutboxMessage.objects.filter(kind=SEND_PAPER, subject__in=keys) if keys}
    return [
        {
            "id": one.id,
            "occasion": one.occasion,
            "by_mail": one.by_mail,
            "to": texts[one.to_ref],
            "words": texts[one.words_ref],
            "sent_at": one.sent_at,
            "sent_by": one.sent_by,
            "opened_at": one.opened_at,
            "mail": _standing(one, messages.get(str(one.id))),
            "trouble": one.trouble,
        }
        for one in sendings
    ]


def _standing(sending: PaperSending, message: OutboxMessage | None) -> str:
    """Return how a sending stands: handed over, waiting, sent, or not sent."""
    if not sending.by_mail:
        return "handed over"
    return "not sent" if sending.failed_at else mail_standing(message)
