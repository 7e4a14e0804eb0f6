"""A shop in which anything may happen next: valid and invalid commands in any order. See ``soundness``."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import initialize, precondition, rule

from jobs.core.errors import ClockAhead, Forbidden, KeyReused, Stale
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.clients.commands import add_client, change_client
from jobs.domain.commissions.commissions import change_commission, move_commission, open_commission
from jobs.domain.commissions.piece_commands import add_piece, change_piece, remove_piece
from jobs.domain.papers.issuing import record_rendering, withdraw_paper
from jobs.domain.workshop.commands import set_sheet, set_shop
from jobs.models import Client, Commission, LogHead, Paper, Piece
from tests.log.bench_rules import PICK, REASON, Bench
from tests.log.soundness import Verb, traces
from tests.shop_fixtures import (
    INCHES,
    QUICK_FINISH,
    QUICK_GLUE,
    SHORT,
    a_call,
    a_maker,
    accept_bare,
    an_owner,
    issue_checklist,
)

GLUE = QUICK_GLUE | {
    "scrape_from_s": 300,
    "unclamp_s": 600,
    "machine_s": 900,
    "surface_s": 900,
    "full_s": 900,
}
FINISH = QUICK_FINISH | {"recoat_from_s": 300, "recoat_to_s": 7200, "light_use_s": 400, "full_s": 900}


class Shop(Bench):
    """One owner, one maker, quick products, and whatever follows."""

    # Setup

    @initialize()
    def open_the_shop(self) -> None:
        self.owner, self.maker = an_owner(email="owner@shop.example"), a_maker()
        self.attempt(set_sheet, kind="glue", key="quick-glue", data=GLUE)
        self.attempt(set_sheet, kind="finish", key="quick-finish", data=FINISH)
        add_client(self.call(), name="Orla Fenwick")
        self.enquire_and_accept(0)
        self.sound()

    @rule(pick=PICK)
    def enquire_and_accept(self, pick: int) -> None:
        client = self.one(Client.objects, pick)
        done = open_commission(self.call(), client=client.id, title="Desk by the window")
        number = done.events[0].data["number"]
        add_piece(self.call(), commission=number, units=INCHES, asked=SHORT)
        if pick % 3 == 0:
            set_price(
                self.call(), commission=number, lines=[Line(description="Top", unit_price=Decimal(100))]
            )
        self.attempt(accept_bare, commission=number)

    # Clients, commissions, pieces

    @rule(pick=PICK, email=st.sampled_from(["", "orla@fenwick.example", "nonsense"]))
    def client(self, pick: int, email: str) -> None:
        self.attempt(change_client, client=self.one(Client.objects, pick).id, email=email)

    @rule(
        pick=PICK, to=st.sampled_from(["quoted", "accepted", "declined", "cancelled", "ready"]), reason=REASON
    )
    def move(self, pick: int, to: str, reason: str) -> None:
        if to in ("declined", "cancelled") and pick % 4:
            return
        self.attempt(
            move_commission, commission=self.one(Commission.objects, pick).number, to=to, reason=reason
        )

    @rule(pick=PICK, title=st.sampled_from(["", "Longer desk"]))
    def rename(self, pick: int, title: str) -> None:
        self.attempt(change_commission, commission=self.one(Commission.objects, pick).number, title=title)

    @rule(
        pick=PICK,
        asked=st.sampled_from(
            [
                {}, {"stiffeners": "yes"}, {"sealing_coats": 3}, {"glue": "pva"}, {"length": "-1"},
                {"species": "cheese"}, {"route": "free-list", "stages": ["Legs", "Seat"]},
                {"route": "edge-glued-film", "mark": "after finishing"},
            ]
        ),
    )  # fmt: skip
    def another_piece(self, pick: int, asked: dict[str, Any]) -> None:
        number = self.one(Commission.objects, pick).number
        self.attempt(add_piece, commission=number, units=INCHES, asked=SHORT | asked)

    @precondition(lambda self: Piece.objects.exists())
    @rule(
        pick=PICK,
        asked=st.sampled_from(
            [
                {"length": "72"}, {"width": "1 mile"}, {"stiffeners": "yes"}, {"stiffeners": "no"},
                {"sealing_coats": 1}, {"sealing_coats": 2}, {"finish_face": "oil-varnish"}, {"label": ""},
                {"glue": "epoxy"}, {"route": "free-list", "stages": ["Legs"]}, {"route": "short"}, {},
            ]
        ),
    )  # fmt: skip
    def change(self, pick: int, asked: dict[str, Any]) -> None:
        self.attempt(change_piece, piece=self.one(Piece.objects, pick).number, units=INCHES, asked=asked)

    @precondition(lambda self: Piece.objects.exists())
    @rule(pick=PICK)
    def remove(self, pick: int) -> None:
        self.attempt(remove_piece, piece=self.one(Piece.objects, pick).number)

    # Money, papers, the shop

    @rule(pick=PICK, price=st.sampled_from(["0", "99.99", "1000.0000", "1.00001", "NaN"]))
    def price(self, pick: int, price: str) -> None:
        lines = [Line(description="Top", unit_price=Decimal(price), tax_pct=Decimal("7.5"))] * (pick % 3 + 1)
        self.attempt(set_price, commission=self.one(Commission.objects, pick).number, lines=lines)

    @rule(pick=PICK, amount=st.sampled_from(["100", "0", "-1", "0.01", "1100.00", "1e2"]))
    def pay(self, pick: int, amount: str) -> None:
        number = self.one(Commission.objects, pick).number
        self.attempt(record_payment, commission=number, amount=Decimal(amount), note="thank you")

    @rule(pick=PICK, issue=st.sampled_from([issue_checklist, issue_invoice]))
    def issue(self, pick: int, issue: Verb) -> None:
        self.attempt(issue, commission=self.one(Commission.objects, pick).number)

    @precondition(lambda self: Paper.objects.exists())
    @rule(pick=PICK, reason=REASON, rendered=st.booleans())
    def paper(self, pick: int, reason: str, rendered: bool) -> None:
        number = self.one(Paper.objects, pick).number
        if rendered:
            self.attempt(record_rendering, paper=number, sha256="a" * 64, size_bytes=9)
        else:
            self.attempt(withdraw_paper, paper=number, reason=reason)

    @rule(
        change=st.sampled_from(
            [{"unclamp_s": 700}, {"unclamp_s": 800}, {"open_s": -1}, {"min_temp_c": "25"}, {"x": 1}]
        )
    )
    def glue_sheet(self, change: dict[str, Any]) -> None:
        self.attempt(set_sheet, kind="glue", key="quick-glue", data=GLUE | change)

    @rule(
        change=st.sampled_from(
            [{"recoat_to_s": 3000}, {"full_s": 1}, {"water_borne": False}, {"family": "x"}]
        )
    )
    def finish_sheet(self, change: dict[str, Any]) -> None:
        self.attempt(set_sheet, kind="finish", key="quick-finish", data=FINISH | change)

    @rule(settings=st.sampled_from([{"shop_c": "8"}, {"tax_pct": "101"}, {"paper_size": "A4"}, {"x": 1}, {}]))
    def shop(self, settings: dict[str, Any]) -> None:
        self.attempt(set_shop, settings=settings)

    # Clocks, repeats, other people

    @rule(seconds=st.sampled_from([10, 3600, 86_400, 30 * 86_400]))
    def time_passes(self, seconds: int) -> None:
        self.now += timedelta(seconds=seconds)

    @rule(hours=st.integers(1, 48))
    def the_clock_is_behind(self, hours: int) -> None:
        call = a_call(self.owner, self.now - timedelta(hours=hours))
        behind = call.now < LogHead.objects.get().recorded_at
        done = self.attempt(add_client, call, name="Mirek Dvorsky")
        assert done is not None and len(done.notices) == behind

    @rule(minutes=st.integers(6, 600))
    def a_device_is_ahead(self, minutes: int) -> None:
        try:
            a_call(self.owner, self.now + timedelta(minutes=minutes), self.now)
        except ClockAhead:
            return
        raise AssertionError("a time that lies ahead was taken")

    @precondition(lambda self: self.last is not None and self.last[0].key)
    @rule()
    def the_same_again(self) -> None:
        """Repeat the last request: the same key answers the same, with another request it is refused."""
        call, verb, asked = self.last
        before = traces()
        assert verb(call, **asked).replayed
        assert traces() == before
        other = a_call(self.owner, self.now, key=call.key, fingerprint="another request")
        try:
            verb(other, **asked)
        except KeyReused:
            assert traces() == before
            return
        raise AssertionError("a key was taken for two requests")

    @rule(pick=PICK)
    def seen_long_ago(self, pick: int) -> None:
        commission = self.one(Commission.objects, pick)
        before = traces()
        try:
            change_commission(self.call(seen=commission.version - 1), commission=commission.number, notes="x")
        except Stale:
            assert traces() == before
            return
        raise AssertionError("something stale was taken")

    @rule(pick=PICK)
    def a_maker_at_the_money(self, pick: int) -> None:
        number, before = self.one(Commission.objects, pick).number, traces()
        call = a_call(self.maker, self.now)
        for verb, asked in ((issue_invoice, {}), (record_payment, {"amount": Decimal(5)})):
            try:
                verb(call, commission=number, **asked)
            except Forbidden:
                assert traces() == before
                continue
            raise AssertionError("a maker reached the money")
