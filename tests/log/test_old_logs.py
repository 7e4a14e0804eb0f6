"""Old logs open: an export of the first version, and events of earlier versions."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from uuid import uuid4

import pytest

from jobs.core import upcasters
from jobs.core.canonical_json import dumps
from jobs.domain.billing.balances import account
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.clients.commands import add_client
from jobs.domain.papers.letterhead import currency_of
from jobs.domain.pieces.drawing import bench_drawings
from jobs.domain.reminders.pending import skip_past_due
from jobs.domain.workshop.accounts import add_person
from jobs.domain.workshop.commands import set_shop
from jobs.log.commands import call_now, event_hash, verify_log
from jobs.log.private_texts import read, store_private_text
from jobs.log.projections.kinds import KINDS
from jobs.log.rebuild import compare, rebuild
from jobs.log.transfer import import_from
from jobs.models import (
    Client,
    Commission,
    Delivery,
    Event,
    LogHead,
    Payment,
    Person,
    Piece,
    PriceLine,
    ReminderReply,
    Wait,
)
from jobs.models.bases import row_key
from tests.shop_fixtures import NOON, a_call, a_client, a_commission, a_price, accept_bare

pytestmark = [pytest.mark.both_databases, pytest.mark.django_db]
FIRST = Path(__file__).parent / "exports" / "first"
LATER = NOON + timedelta(days=400)


@pytest.fixture
def first(tmp_path, settings):
    """Import the log of the first version."""
    settings.FILES_DIR = tmp_path / "files"
    settings.FILES_DIR.mkdir()
    return import_from(FIRST, now=LATER, settle=skip_past_due)


class TestTheFirstVersion:
    """The expected values were counted in the files of the export, with other tools."""

    def test_its_log_verifies_and_folds_as_it_stands(self, first):
        assert verify_log().count == first["count"] == 148
        assert first["head_hash"] == Event.objects.get(seq=148).hash
        assert compare() == []
        rebuild()
        assert compare() == []

    def test_everything_is_there(self, first):
        steps = dict(Commission.objects.values_list("number", "step"))
        assert steps == {
            "2026-001": "closed", "2026-002": "cancelled", "2026-003": "declined", "2026-004": "in the shop",
        }  # fmt: skip
        names = sorted(read(client.name_ref) for client in Client.objects.all())
        assert names == ["Mirek Dvorsky", "Orla Fenwick-Hale"]
        assert sorted(Person.objects.values_list("username", flat=True)) == ["maker", "owner"]
        assert [(p.amount, p.currency) for p in Payment.objects.order_by("id")] == [
            (Decimal("900.00"), "EUR"), (Decimal("2158.75"), "EUR"),
        ]  # fmt: skip
        assert Delivery.objects.filter(step=Delivery.Step.SENT).count() == 2
        assert Wait.objects.filter(step=Wait.Step.RUNNING).count() == 2

    def test_its_tops_can_be_drawn(self, first):
        tops = [p for p in Piece.objects.all() if "layout" in p.computed]
        assert tops
        for piece in tops:
            drawn = next(iter(bench_drawings(piece.computed, piece.inputs, unit="in", title="")), None)
            assert drawn and drawn.count('data-what="strip"') == len(
                piece.computed["layout"]["result"]["strips"]
            )

    def test_its_keys_still_answer(self, first):
        actor = Event.objects.get(seq=148).actor
        call = call_now(actor, key="first-order-1", fingerprint="POST clients/ Mirek Dvorsky")
        done = add_client(call, name="Mirek Dvorsky")
        assert done.replayed and [e.seq for e in done.events] == [148]

    def test_work_goes_on_after_it(self, first):
        owner = add_person(username="later", password="seven-oak-boards", role="owner")
        a_price(a_call(owner, LATER), a_commission(a_call(owner, LATER), Client.objects.first()))
        assert verify_log().count == 150
        assert compare() == []


def stored(kind, stream, data, *, version):
    """Store an event as an earlier version of the service wrote it, and project it with the present one."""
    head = LogHead.objects.get()
    event = Event(
        seq=head.seq + 1, kind=kind, version=version, stream=stream, body=dumps(data), actor="shop",
        occurred_at=NOON, recorded_at=NOON, command_id=uuid4(), prev_hash=head.hash,
    )  # fmt: skip
    event.hash = event_hash(event)
    event.save()
    LogHead.objects.update(seq=event.seq, hash=event.hash)
    rebuild()
    verify_log()
    assert compare() == []
    return event


def test_every_version_that_is_no_longer_written_has_its_lift():
    steps = {(kind.name, version) for kind in KINDS.values() for version in range(1, kind.version)}
    assert set(upcasters.LIFTS) == steps


def test_an_answer_to_a_reminder_was_about_a_wait_once(first):
    wait = Wait.objects.filter(step=Wait.Step.RUNNING).first()
    person = Person.objects.values_list("id", flat=True)[0]
    data = {"wait": wait.id, "kind": "ready", "person": person}
    event = stored("reminder_acknowledged", "reminders", data, version=1)
    reply = ReminderReply.objects.get(id=row_key(event.seq))
    assert (reply.wait_id, reply.subject, reply.occasion) == (wait.id, "", "")


class TestPricesWithoutCurrency:
    LINE = {
        "quantity": "1", "unit_code": "C62", "unit_price": "1000", "tax_category": "S", "tax_pct": "10",
    }  # fmt: skip

    @pytest.fixture
    def commission(self):
        return a_commission(a_call("shop"), a_client(a_call("shop")))

    def priced_in_the_first_version(self, commission):
        line = {**self.LINE, "description": store_private_text("Top as drawn", field="description")}
        data = {"number": commission.number, "lines": [line]}
        event = stored("price_set", f"commission:{commission.number}", data, version=1)
        commission.refresh_from_db()
        return event

    def test_it_folds_to_the_lines_of_today(self, commission):
        other = a_commission(a_call("shop"), commission.client)
        a_price(a_call("shop"), other)
        event = self.priced_in_the_first_version(commission)
        today = Event.objects.get(kind="price_set", version=2)
        assert event.data.keys() == today.data.keys()
        fields = ("position", "quantity", "unit_code", "unit_price", "tax_category", "tax_pct")
        old, new = (PriceLine.objects.filter(commission=c).values_list(*fields) for c in (commission, other))
        assert list(old) == list(new)

    def test_it_is_read_in_what_the_shop_has_or_in_what_was_paid(self, commission):
        self.priced_in_the_first_version(commission)
        set_shop(a_call("shop"), settings={"currency": "EUR"})
        assert currency_of(commission) == "EUR"
        record_payment(a_call("shop"), commission=accepted(commission), amount=Decimal(500))
        set_shop(a_call("shop"), settings={"currency": "USD"})
        assert currency_of(commission) == "EUR"

    def test_a_price_of_today_stays_in_its_currency(self, commission):
        set_shop(a_call("shop"), settings={"currency": "EUR"})
        a_price(a_call("shop"), commission)
        set_shop(a_call("shop"), settings={"currency": "USD"})
        record_payment(a_call("shop"), commission=accepted(commission), amount=Decimal(500))
        invoice = issue_invoice(a_call("shop"), commission=commission.number).events[0].data["invoice"]
        assert (Payment.objects.get().currency, invoice["currency"], invoice["due"]) == (
            "EUR", "EUR", "600.00",
        )  # fmt: skip
        assert account(commission).owed == Decimal("600.00")


def accepted(commission):
    accept_bare(a_call("shop"), commission=commission.number)
    return commission.number
