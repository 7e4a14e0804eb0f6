"""Costs, profit and the books over the API, as on the pages; what a helper asks for is refused."""

import base64
from io import BytesIO

import pytest
from PIL import Image

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.stock.boards import add_board, use_board
from jobs.models import Person
from tests.api.client import Api, refused
from tests.shop_fixtures import INCHES, Work, a_price

pytestmark = pytest.mark.django_db


@pytest.fixture
def work(owner: Person) -> Work:
    return Work(owner)


def test_a_cost_is_added_corrected_and_voided_and_the_sheet_adds_up(api: Api, work: Work):
    piece = work.accepted()
    a_price(work.call(), piece.commission)
    board = {"species": "black walnut", "thickness": "2", "width": "8", "length": "100", "units": INCHES}
    number = add_board(work.call(), **board).events[0].data["board"]
    use_board(work.call(), board=number, piece=piece.number)
    at = f"commissions/{piece.commission.number}/costs/"
    assert api.get(at).data["unknown"] == ["1 board without a price"]
    priced = api.post("boards/price/", {"boards": [number], "total": "160.00"})
    assert priced.data["board"]["price"] == "160.00"
    receipt = BytesIO()
    Image.new("RGB", (20, 30), "white").save(receipt, "PNG")
    asked = {
        "what": "Delivery",
        "net": "350.00",
        "tax": "7.00",
        "picture": base64.b64encode(receipt.getvalue()).decode(),
    }
    made = api.post(at, asked)
    assert made.status_code == 201, made.data
    (cost,) = made.data["costs"]["bought"]
    assert api.get(f"costs/{cost['id']}/receipt/").headers["Content-Type"] == "image/jpeg"
    sheet = api.post(f"costs/{cost['id']}/correct/", {"net": "35.00", "tax": "0.70"}).data["costs"]
    rows = {row["kind"]: row["actual"] for row in sheet["rows"]}
    assert rows == {"lumber": "160.00", "other": "35.00"}
    assert (sheet["income"], sheet["costs"], sheet["profit"]) == ("1000.00", "195.00", "805.00")
    assert (sheet["is_agreed"], sheet["an_hour"], sheet["unknown"]) == (True, None, [])
    right = next(one for one in sheet["bought"] if one["voided_at"] is None)
    assert api.post(f"costs/{right['id']}/void/", {}).data["costs"]["costs"] == "160.00"
    refused(api.post(at, {"what": "Delivery", "net": "0"}), 422, "invalid", "net")


def test_profit_tax_and_the_file_of_a_quarter(api: Api, work: Work):
    piece = work.accepted()
    a_price(work.call(), piece.commission)
    issue_invoice(work.call(), commission=piece.commission.number)
    (account,) = api.get(f"profit/{work.now.year}/").data["accounts"]
    assert (account["profit"], account["commissions"][0]["title"]) == ("1000.00", "Desk by the window")
    quarter = f"{work.now.year}-Q{(work.now.month + 2) // 3}"
    tax = api.get(f"tax/{quarter}/").data
    assert tax["basis"] == "invoice"
    assert [(row["base"], row["tax"]) for row in tax["accounts"][0]["rows"]] == [("1000.00", "100.00")]
    file = api.get(f"bookkeeping/{quarter}/")
    assert file.headers["Content-Disposition"] == f'attachment; filename="{quarter}.csv"'
    assert file.content.startswith(b"\xef\xbb\xbfdate,kind,number")
    for path in ("tax/2026-Q5/", "bookkeeping/2026-13/", "profit/1200/"):
        assert api.get(path).status_code == 422, path


def test_a_helper_sees_neither_costs_nor_profit(maker: Person, work: Work):
    piece, helper = work.accepted(), Api(maker)
    paths = (
        f"commissions/{piece.commission.number}/costs/",
        "profit/2026/",
        "tax/2026/",
        "bookkeeping/2026/",
    )
    assert [helper.get(path).status_code for path in paths] == [403] * 4
