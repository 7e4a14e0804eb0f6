"""Papers about money that moved: a receipt of a payment, a statement of a client's account."""

from django.utils import timezone

from jobs.core.errors import AlreadyDone, NotYet, WrongState
from jobs.domain import lookups
from jobs.domain.papers.issuing import issue_paper
from jobs.forgetting import refuse_if_forgotten
from jobs.log.commands import Writing, command
from jobs.models import Paper
from jobs.statements import receipt_content, statement_content


@command
def issue_receipt(log: Writing, *, payment: int) -> None:
    """Issue the receipt of money received; one for each payment."""
    log.by_owner("a receipt")
    found = lookups.payment(payment)
    log.seen(found.commission.version, what=f"commission {found.commission.number}")
    if found.amount < 0:
        raise WrongState("this was given back", field="payment", value=payment, allowed="money received")
    if found.voided_at is not None:
        raise WrongState("this payment is void", field="payment", value=payment, allowed="money received")
    earlier = found.receipts.first()
    if earlier is not None:
        raise AlreadyDone(
            f"receipt {earlier.number} is issued", field="payment", value=payment, allowed="one receipt",
            extra={"papers": [earlier.number]},
        )  # fmt: skip
    number = found.commission.number
    issue_paper(
        log, Paper.Kind.RECEIPT, receipt_content(found),
        stream=f"commission:{number}", commission=number, payment=found.id,
    )  # fmt: skip


@command
def issue_statement(log: Writing, *, client: int) -> None:
    """Issue a statement of everything billed to a client and received, as it stands today."""
    log.by_owner("a statement of account")
    found = lookups.client(client)
    log.seen(found.version, what="this client")
    refuse_if_forgotten(found)
    content = statement_content(found, today=timezone.localtime(log.call.at).date())
    if not content["accounts"]:
        raise NotYet(
            "nothing was billed or received", field="client", value=client, allowed="an invoice first"
        )
    issue_paper(log, Paper.Kind.STATEMENT, content, stream=f"client:{found.id}", client=found.id)
