"""What an order cost and earned: every sum here is done by hand beside the check."""

from decimal import Decimal as D
from io import BytesIO

import pytest
from PIL import Image

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, ShopError, WrongState
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.books.actual import sheet_view
from jobs.domain.books.costs import add_cost, correct_cost, void_cost
from jobs.domain.stock.bills import price_boards
from jobs.domain.stock.boards import add_board, reserve_board, use_board, write_off_board
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.supplies import add_supply, price_supply
from jobs.domain.workshop.commands import set_shop
from jobs.models import Board, Commission, Cost, Piece
from jobs.models.bases import row_key
from tests.shop_fixtures import INCHES, SHORT, Work, a_maker, a_price, the_paper

pytestmark = pytest.mark.django_db
BOARD = {"species": "black walnut", "thickness": "2", "width": "8", "length": "100", "units": INCHES}


def sheet(piece: Piece) -> dict[str, object]:
    return sheet_view(Commission.objects.get(id=piece.commission_id))


def amounts(piece: Piece, kind: str) -> list[D | None]:
    return [line["amount"] for line in sheet(piece)["lines"] if line["kind"] == kind]


def a_board(work: Work, price: str | None = None) -> int:
    return int(add_board(work.call(), **BOARD, price=price).events[0].data["board"])


def bought(work: Work, piece: Piece, **asked: object) -> Cost:
    given = {"what": "Steel bars", "net": D("84.20"), "tax": D("8.42"), "kind": "supplies"} | asked
    done = add_cost(work.call(), commission=piece.commission.number, **given)
    return Cost.objects.get(id=row_key(done.events[0].seq))


def test_a_board_costs_the_piece_what_its_offcuts_do_not_give_back(work: Work):
    piece, other = work.accepted(**SHORT), work.accepted(**SHORT)
    number = a_board(work, "160.00")
    reserve_board(work.call(), board=number, piece=piece.number)
    assert amounts(piece, "lumber") == [D("160.00")]
    use_board(work.call(), board=number)
    offcut = cut_offcut(work.call(), board=number, length="25", units=INCHES).events[0].data["board"]
    # a quarter of the length is a quarter of the volume: 160.00 / 4 = 40.00
    assert amounts(piece, "lumber") == [D("120.00")]
    use_board(work.call(), board=offcut, piece=other.number)
    assert (amounts(piece, "lumber"), amounts(other, "lumber")) == ([D("120.00")], [D("40.00")])
    small = cut_offcut(work.call(), board=offcut, length="12 1/2", units=INCHES).events[0].data["board"]
    # half of the quarter: 20.00 goes back to the rack; split, it falls back on the piece it was cut for
    assert amounts(other, "lumber") == [D("20.00")]
    write_off_board(work.call(), board=small, reason="split")
    assert amounts(other, "lumber") == [D("40.00")]


def test_what_has_no_price_is_said_and_not_counted_as_nothing(work: Work):
    piece = work.accepted(**SHORT)
    for _ in range(3):
        use_board(work.call(), board=a_board(work), piece=piece.number)
    assert amounts(piece, "lumber") == [None] * 3
    found = sheet(piece)
    assert "3 boards without a price" in found["unknown"]
    assert [row["kind"] for row in found["rows"]] == [], "no row pretends to know the lumber"
    assert found["costs"] == 0 and found["profit"] is None, "without a price there is no profit either"


def test_a_finish_costs_its_share_of_the_container_once_it_is_on(work: Work):
    piece = work.accepted(**SHORT)
    liters = D(Piece.objects.get(id=piece.id).computed["finishing"]["result"]["total_l"])
    made = add_supply(work.call(), kind="finish", name="Water film", sheet="quick-finish").events[0]
    price_supply(work.call(), supply=row_key(made.seq), price="37.85", holds="1", unit="gallon")
    assert amounts(piece, "finish") == [], "nothing is on yet"
    work.do_until(piece, "wrap")
    # NIST Handbook 44, appendix C: a US gallon is 3.785411784 liters
    assert amounts(piece, "finish") == [round(liters * D("37.85") / D("3.785411784"), 2)]
    told = [line["what"] for line in sheet(piece)["lines"] if line["kind"] == "finish"]
    assert told == ["Quick test finish"], "by its name, not by its key"


def test_hours_cost_what_the_shop_says_apart_for_owner_and_helper(work: Work):
    piece = work.accepted(**SHORT)
    helper = Work(a_maker(), work.now)
    work.do(piece, "survey")
    helper.now = work.now
    stages = [s.key for s in piece.stages.order_by("position") if not s.spec["passive"] and s.key != "survey"]
    helper.do(piece, stages[0])
    assert any("without an hourly cost" in what for what in sheet(piece)["unknown"])
    set_shop(work.call(), settings={"hour_cost": "30", "helper_hour_cost": "24"})
    # ten minutes each: 30 / 6 = 5.00 and 24 / 6 = 4.00
    assert amounts(piece, "hours") == [D("5.00"), D("4.00")]
    assert sheet(piece)["minutes"] == 20


def test_income_is_the_agreed_price_then_what_is_invoiced_less_credits(work: Work):
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    bought(work, piece)
    found = sheet(piece)
    assert (found["income"], found["is_agreed"], found["profit"]) == (D("1000.00"), True, D("915.80"))
    invoice = the_paper(issue_invoice(work.call(), commission=piece.commission.number)).number
    assert (sheet(piece)["income"], sheet(piece)["is_agreed"]) == (D("1000.00"), False)
    credit_invoice(work.call(), paper=invoice, reason="the wrong client")
    line = Line(description="Top", unit_price=D(900), tax_pct=D(10))
    set_price(work.call(), commission=piece.commission.number, lines=[line])
    issue_invoice(work.call(), commission=piece.commission.number)
    assert sheet(piece)["profit"] == D("815.80")  # 1000 - 1000 + 900 - 84.20


def test_a_cost_is_corrected_and_voided_and_stays_on_record_with_its_receipt(work: Work):
    piece = work.accepted(**SHORT)
    receipt = BytesIO()
    Image.new("RGB", (30, 40), "white").save(receipt, "PNG")
    cost = bought(work, piece, net=D("842.00"), tax=D("0"), picture=receipt.getvalue())
    correct_cost(work.call(), cost=cost.id, net=D("84.20"), reason="a nought too many")
    assert sheet(piece)["costs"] == D("84.20")
    wrong, right = sheet(piece)["bought"]
    assert (wrong["void_reason"], right["what"], right["has_picture"]) == (
        "a nought too many",
        "Steel bars",
        True,
    )
    with pytest.raises(AlreadyDone):
        void_cost(work.call(), cost=cost.id)
    void_cost(work.call(), cost=right["id"])
    assert sheet(piece)["costs"] == 0 and len(sheet(piece)["bought"]) == 2


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"net": D(0)}, "net"), ({"net": D("1.001")}, "net"), ({"net": D("NaN")}, "net"),
        ({"tax": D("-1")}, "tax"), ({"what": " "}, "what"), ({"kind": "rent"}, "kind"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name(work: Work, wrong: dict[str, object], field: str):
    piece = work.accepted(**SHORT)
    with pytest.raises(Invalid) as refused:
        bought(work, piece, **wrong)
    assert refused.value.field == field and refused.value.allowed
    assert not Cost.objects.exists()


def test_a_helper_adds_no_cost(work: Work):
    piece = work.accepted(**SHORT)
    with pytest.raises(ShopError) as refused:
        bought(Work(a_maker(), work.now), piece)
    assert isinstance(refused.value, Forbidden)


def test_one_bill_falls_on_its_boards_by_their_feet_to_the_cent(work: Work):
    whole, other = a_board(work), a_board(work)

    half = int(add_board(work.call(), **BOARD | {"length": "50"}).events[0].data["board"])
    price_boards(work.call(), boards=[whole, other, half], total="100.00")
    # two boards and half a one: 100.00 / 2.5 = 40.00 each, 20.00 the half
    prices = dict(Board.objects.values_list("number", "price"))
    assert (prices[whole], prices[other], prices[half]) == (D("40.00"), D("40.00"), D("20.00"))
    with pytest.raises(WrongState) as refused:
        price_boards(work.call(), boards=[whole], total="10.00")
    assert "has a price already" in str(refused.value)
    three = [a_board(work) for _ in range(3)]
    price_boards(work.call(), boards=three, total="100.00")
    assert sum(Board.objects.get(number=n).price or 0 for n in three) == D("100.00")
    for wrong in ({"boards": [], "total": "1"}, {"boards": [half, half], "total": "1"}):
        with pytest.raises(Invalid):
            price_boards(work.call(), **wrong)
    with pytest.raises(Invalid) as none:
        price_boards(work.call(), boards=[a_board(work)], total="0")
    assert none.value.field == "total"
