"""A client to erase, with an odd name that occurs in every text about them."""

from collections.abc import Callable
from decimal import Decimal
from io import BytesIO

from PIL import Image

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_links import make_link
from jobs.domain.clients.updates import ask_shop, client_actor, tell_client
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.notes.commands import write_note
from jobs.domain.notes.pictures import picture_commission, take_picture
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.stages.rework import redo_stage
from jobs.domain.stages.route_edits import add_stage
from jobs.domain.stock.boards import add_board
from jobs.models import Client, Payment, Piece
from tests.shop_fixtures import (
    INCHES,
    SHORT,
    Work,
    a_call,
    a_client,
    a_commission,
    a_piece,
    issue_care_sheet,
    issue_checklist,
    issue_job_sheet,
)

ODD = "Zyxquorn"
MARKS = (ODD, "Q00vermill", "wrubbledash@quince.example", "7531778899")
"""Name, street, e-mail, telephone: every text about the client holds one of them."""
WHO = {
    "name": f"Ottilie {ODD}", "email": MARKS[2], "phone": MARKS[3],
    "address": f"7 {MARKS[1]} Lane\nBelow the weir",
}  # fmt: skip


def photo(colour: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return out.getvalue()


def a_forgettable_client(work: Work, *, meanwhile: Callable[[Work], None] = lambda work: None) -> Client:
    """Make a client with an enquiry, quote, work, news, payment and close; a second commission is declined.

    ``meanwhile`` runs during this, for a worker's part.
    """
    client = a_client(work.call(), **WHO)
    change_client(work.call(), client=client.id, name=f"Ottilie Anna {ODD}", city=MARKS[1], tax_id=f"T {ODD}")
    declined = a_commission(work.call(), client, f"Shelf of {ODD}").number
    move_commission(work.call(), commission=declined, to="declined", reason=f"too dear for {ODD}")
    commission = a_commission(
        work.call(), client, f"Desk for {ODD}", notes=f"{ODD} likes it dark",
        asks_for=f"{ODD} wants drawers", heard=f"{ODD}'s aunt",
    )  # fmt: skip
    room = {"picture": photo("olive"), "words": f"where {ODD} reads"}
    picture_commission(work.call(), commission=commission.number, **room)
    piece = a_piece(work.call(), commission, **SHORT | {"label": f"Desk top of {ODD}"})
    _agreed(work, commission.number)
    make_link(work.by, commission=commission.number, now=work.now)
    _made(work, piece)
    _talked(work, piece, client)
    meanwhile(work)
    _paid(work, piece)
    return Client.objects.get(id=client.id)


def _agreed(work: Work, number: str) -> None:
    line = Line(description=f"Desk as {ODD} drew it", unit_price=Decimal(1000), tax_pct=Decimal(10))
    draft_quote(work.call(), commission=number, lines=[line], words=f"Dear {ODD}", terms=f"For {ODD} only")
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1, name=f"O. {ODD}")


def _made(work: Work, piece: Piece) -> None:
    number = piece.number
    issue_job_sheet(work.call(), commission=piece.commission.number)
    add_stage(work.call(), piece=number, title=f"Initials of {ODD} cut in", after=["flatten"])
    work.do(piece, "survey")
    redo_stage(work.call(), piece=number, stage="survey", reason=f"{ODD} moved house")
    work.do_until(piece, "flatten")
    work.do(piece, "added-1")
    take_picture(work.call(), piece=number, stage="glue-up", picture=photo("teal"), words=f"{ODD} was there")
    note = {"piece": number, "stage": "glue-up"}
    write_note(work.call(), **note, words=f"{ODD} wants no squeeze-out", picture=photo("navy"))
    write_note(work.call(), **note, words="Wax the cauls")
    work.do_until(piece, "full-cure")


def _talked(work: Work, piece: Piece, client: Client) -> None:
    number = piece.commission.number
    ask_shop(a_call(client_actor(client), work.call().at), commission=number, words=f"{ODD} asks when")
    tell_client(work.call(), commission=number, words=f"Soon, dear {ODD}")
    add_board(
        work.call(), species="walnut", thickness="2", width="7", length="120", units=INCHES,
        note=f"{ODD} picked this one",
    )  # fmt: skip


def _paid(work: Work, piece: Piece) -> None:
    number = piece.commission.number
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=number)
    issue_care_sheet(work.call(), commission=number)
    issue_invoice(work.call(), commission=number)
    record_payment(work.call(), commission=number, amount=Decimal(1100), note=f"from {ODD}")
    issue_receipt(work.call(), payment=Payment.objects.latest("id").id)
    issue_statement(work.call(), client=piece.commission.client_id)
    work.do_until(piece, "close")
