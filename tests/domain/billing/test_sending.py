"""Invoices, receipts and reminders by real mails, or handed over; what comes next follows from it."""

import re
from datetime import timedelta
from decimal import Decimal as D
from email.message import EmailMessage

import pytest

from jobs.core.errors import Forbidden, Invalid, WrongState
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.sending import remind, send_to_client
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_links import find_link
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.office import office_cards
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Client, Commission, Paper, PaperSending, Piece
from jobs.worker.outbox import dispatch_outbox
from tests.mailbox import MailServer, html_of, text_of
from tests.shop_fixtures import SHORT, Work, a_maker, a_price, issue_checklist, the_paper

pytestmark = pytest.mark.django_db
TO = "orla@fenwick.example"


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a piece of 1100.00 for a client with an address, in a shop that says how to pay."""
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    set_shop(work.call(), name="Lindenau Table Works", payment="Check to Lindenau\nor transfer to 123 456")
    change_client(work.call(), client=piece.commission.client_id, email=TO)
    return piece


@pytest.fixture
def number(piece: Piece) -> str:
    return str(piece.commission.number)


def delivered(server: MailServer, work: Work) -> EmailMessage:
    """Let the worker send what waits; return the newest mail."""
    while dispatch_outbox(work.now):
        pass
    return server.mails[-1]


def said(mail: EmailMessage) -> str:
    return text_of(mail).replace("\r", "")


def steps(work: Work, number: str) -> list[str]:
    view = commission_view(Commission.objects.get(number=number), now=work.now, with_money=True)
    return [step["do"] for step in view["office"]]


def on_bench(work: Work) -> list[str]:
    return [step.do for _, step in office_cards(now=work.now)]


class TestADeposit:
    def test_one_command_issues_it_and_mails_it_with_sum_day_and_how_to_pay(
        self, server: MailServer, work: Work, number: str
    ):
        done = issue_deposit(work.call(), commission=number, pct=D(50), send="mail")
        assert [e.kind for e in done.events] == ["paper_issued", "paper_sent"]
        mail = delivered(server, work)
        words = said(mail)
        assert mail["To"] == TO and mail["Subject"] == "Desk by the window: your deposit"
        assert words.startswith(
            "Hello Orla Fenwick,\n\nThank you for your order: Desk by the window. Here is the invoice for"
        )
        assert "To pay: 550.00 USD\nBy: 16 March 2026\n" in words
        assert "How to pay: Check to Lindenau, or transfer to 123 456\nReference: I2026-0001\n" in words
        assert [part.get_filename() for part in mail.iter_attachments()] == ["I2026-0001.pdf"]
        (token,) = set(re.findall(r"/c/([\w-]+)/", words + html_of(mail)))
        assert find_link(token).commission == number
        assert compare() == []

    def test_it_names_account_and_reference_and_has_the_bare_file_where_the_shop_sends_one(
        self, server: MailServer, work: Work, piece: Piece
    ):
        set_shop(
            work.call(), settings={"invoice_file": "UBL"}, country="US", tax_id="TX-88121", payment="",
            iban="GB29NWBK60161331926819", account_name="R. Lindenau",
        )  # fmt: skip
        change_client(work.call(), client=piece.commission.client_id, country="US")
        issue_deposit(work.call(), commission=piece.commission.number, pct=D(50), send="mail")
        mail = delivered(server, work)
        words = said(mail)
        assert "Pay to: R. Lindenau\nIBAN: GB29 NWBK 6016 1331 9268 19\n" in words
        assert "Reference: RF47 I202 6000 1\n" in words and "XML file is for bookkeeping programs" in words
        pdf, xml = mail.iter_attachments()
        assert (pdf.get_filename(), xml.get_filename()) == ("I2026-0001.pdf", "I2026-0001.xml")
        assert xml.get_content_type() == "application/xml" and b"RF47I20260001" in xml.get_content()
        work.go(days=20)
        remind(work.call(), paper="I2026-0001")
        assert "Reference: RF47 I202 6000 1\n" in said(delivered(server, work))

    def test_it_is_sent_then_waited_for_then_reminded_of(self, server: MailServer, work: Work, number: str):
        issue_deposit(work.call(), commission=number, pct=D(50))
        assert steps(work, number) == ["Send the deposit invoice", "Record the deposit"]
        assert on_bench(work) == ["Send the deposit invoice"]
        send_to_client(work.call(), paper="I2026-0001", how="hand")
        assert steps(work, number) == ["Record the deposit"] and on_bench(work) == []
        work.go(days=20)
        assert steps(work, number) == ["Remind of the payment", "Record the deposit"]
        assert on_bench(work) == ["Remind of the payment"]
        remind(work.call(), paper="I2026-0001")
        words = said(delivered(server, work))
        assert "550.00 USD of invoice I2026-0001 were due on 16 March and have not reached us yet." in words
        record_payment(work.call(), commission=number, amount=D(550))
        assert steps(work, number) == [] and on_bench(work) == []
        with pytest.raises(WrongState, match="I2026-0001 is paid"):
            remind(work.call(), paper="I2026-0001")


class TestTheInvoice:
    @pytest.fixture
    def number(self, work: Work, piece: Piece) -> str:
        """Return the number of a delivered order."""
        work.do_until(piece, "wrap")
        issue_checklist(work.call(), commission=piece.commission.number)
        work.do(piece, "deliver")
        return str(piece.commission.number)

    def test_it_goes_with_its_mail_then_the_payment_is_taken_and_the_order_closes(
        self, server: MailServer, work: Work, number: str
    ):
        assert steps(work, number) == on_bench(work) == ["Issue the invoice and send it"]
        issue_invoice(work.call(), commission=number, send="mail")
        mail = delivered(server, work)
        assert "Desk by the window is with you now. Its invoice is with this mail." in said(mail)
        assert "To pay: 1,100.00 USD\n" in said(mail)
        assert steps(work, number) == on_bench(work) == ["Record the payment"]
        record_payment(work.call(), commission=number, amount=D(1100), method="check", send="mail")
        mail = delivered(server, work)
        assert [part.get_filename() for part in mail.iter_attachments()] == ["R2026-0001.pdf"]
        assert re.search(r"We received 1,100.00 USD by check on \d+ March 2026. Thank you;", said(mail))
        assert "Still to pay" not in said(mail)
        assert Commission.objects.get(number=number).step == "closed" and on_bench(work) == []
        assert compare() == []

    def test_issued_and_not_sent_it_is_sent_first_and_a_late_one_reminded_of(self, work: Work, number: str):
        issue_invoice(work.call(), commission=number)
        assert steps(work, number) == ["Send the invoice", "Record the payment"]
        assert on_bench(work) == ["Send the invoice"]
        send_to_client(work.call(), paper="I2026-0001")
        work.go(days=20)
        assert steps(work, number) == ["Remind of the payment", "Record the payment"]

    def test_a_credit_note_says_that_nothing_is_to_be_paid(self, server: MailServer, work: Work, number: str):
        issue_invoice(work.call(), commission=number, send="mail")
        credit_invoice(work.call(), paper="I2026-0001", reason="a free coat")
        send_to_client(work.call(), paper=Paper.objects.latest("id").number)
        assert "We took invoice I2026-0001 back. Please pay nothing on it;" in said(delivered(server, work))
        with pytest.raises(WrongState, match="no longer holds"):
            send_to_client(work.call(), paper="I2026-0001")


class TestTheReceipt:
    def test_it_says_what_is_still_to_pay(self, server: MailServer, work: Work, number: str):
        record_payment(work.call(), commission=number, amount=D(100), what="deposit", send="mail")
        assert "Still to pay on this order: 1,000.00 USD" in said(delivered(server, work))


class TestWhereNoAddressIsKnown:
    @pytest.fixture
    def number(self, work: Work, piece: Piece) -> str:
        change_client(work.call(), client=piece.commission.client_id, email="")
        return str(piece.commission.number)

    def test_nothing_is_issued_and_the_address_is_asked_for(self, work: Work, number: str):
        with pytest.raises(Invalid, match="no mail address is known") as refused:
            issue_deposit(work.call(), commission=number, pct=D(50), send="mail")
        assert refused.value.field == "to" and not Paper.objects.exists()
        issue_deposit(work.call(), commission=number, pct=D(50), send="mail", to="orla@new.example")
        assert read(Client.objects.get().email_ref) == "orla@new.example"

    def test_it_is_handed_over(self, work: Work, number: str):
        issue_deposit(work.call(), commission=number, pct=D(50), send="hand")
        sending = PaperSending.objects.get()
        assert (sending.by_mail, sending.paper.last_sent) == (False, sending)


def test_a_paper_of_the_shop_stays_there(work: Work, piece: Piece):
    work.do_until(piece, "wrap")
    paper = the_paper(issue_checklist(work.call(), commission=piece.commission.number))
    with pytest.raises(WrongState, match="not sent so"):
        send_to_client(work.call(), paper=paper.number)


def test_money_is_the_owners(work: Work, number: str):
    issue_deposit(work.call(), commission=number, pct=D(50))
    maker = Work(a_maker(), work.now + timedelta(minutes=1))
    for do in (send_to_client, remind):
        with pytest.raises(Forbidden):
            do(maker.call(), paper="I2026-0001")
