"""The payment code, read from the printed page by another program, against the fields of EPC069-12.

EPC069-12, Quick Response Code: guidelines to enable data capture for the initiation of a SEPA credit
transfer, version 2: lines in this order, level M, up to 331 bytes (from memory; `segno` states the same).
"""

from pathlib import Path
from typing import Any

import pytest

from jobs.documents.invoice import credit_html, invoice_html
from jobs.documents.kit.pdf import to_pdf
from tests.documents.reading import pages, pictures, words
from tests.documents.samples import LETTERHEAD, an_invoice
from tests.needs import needs

pytestmark = [needs("weasyprint")]
SHOP = {
    "name": "Lindenau Tischplatten", "iban": "DE89370400440532013000", "bic": "COBADEFFXXX",
    "account_name": "Wiebke Lindenau & Söhne", "payment": "",
}  # fmt: skip


def euro(*lines: dict[str, Any], **more: Any) -> dict[str, Any]:
    shop = {**LETTERHEAD["shop"], **SHOP, **more.pop("shop", {})}
    return an_invoice(
        *lines, **{"currency": "EUR", "pay_by": "transfer", "supplied_on": None, **more, "shop": shop}
    )


def codes(pdf: bytes, folder: Path) -> list[Any]:
    """Return the codes on a paper as a phone finds them: in a picture of the page."""
    import zxingcpp

    return [code for picture in pictures(pdf, folder, dpi=150) for code in zxingcpp.read_barcodes(picture)]


@pytest.mark.parametrize("size", ["letter", "A4"])
def test_a_bank_s_app_reads_the_payment_from_the_page(tmp_path: Path, size: str):
    frozen = euro(due="1100.10", total="1100.10")
    pdf = to_pdf(invoice_html(frozen), size=size)
    (code,) = codes(pdf, tmp_path)
    assert code.bytes.decode("utf-8").split("\n") == [
        "BCD", "002", "1", "SCT", "COBADEFFXXX", "Wiebke Lindenau & Söhne", "DE89370400440532013000",
        "EUR1100.1", "", "RF47I20260001",
    ]  # fmt: skip
    assert len(code.bytes) <= 331 and code.ec_level == "M"
    said = words(pdf)
    for text in ("DE89 3704 0044 0532 0130 00", "RF47 I202 6000 1", "1,100.10 EUR", "Scan with your bank"):
        assert text in said
    assert len(pages(pdf)) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"currency": "USD"}, {"due": "0.00"}, {"due": "-20.00"}, {"shop": {"iban": ""}}, {"number": ""},
        {"shop": {"account_name": "W" * 71}},
    ],
)  # fmt: skip
def test_without_euro_account_number_or_something_to_pay_there_is_no_code(
    tmp_path: Path, change: dict[str, Any]
):
    pdf = to_pdf(invoice_html(euro(**change)), size="A4")
    assert codes(pdf, tmp_path) == [] and "Scan with" not in words(pdf)


def test_who_is_owed_money_is_asked_for_none(tmp_path: Path):
    over = euro(paid_before="1120.00", due="-20.00")
    said = words(to_pdf(invoice_html(over), size="A4"))
    assert "In your favor there is nothing to pay 20.00 EUR" in said
    assert "How to pay" not in said and "Pay by" not in said and "\u2212\u2212" not in said
    paid = words(to_pdf(invoice_html(euro(paid_before="1100.00", due="0.00")), size="A4"))
    assert "To pay 0.00 EUR" in paid and "How to pay" not in paid
    note = euro(kind="credit-note", credits="I2026-0001", reason="free", number="C2026-0001")
    pdf = to_pdf(credit_html(note), size="A4")
    assert codes(pdf, tmp_path) == [] and "How to pay" not in words(pdf)


@pytest.mark.parametrize("count", [1, 16, 17, 22, 23, 24, 40])
@pytest.mark.parametrize("size", ["letter", "A4"])
def test_sums_payment_and_terms_stay_with_the_last_line(size: str, count: int):
    lines = [{"description": f"Line {n} of the price"} for n in range(1, count + 1)]
    read = pages(to_pdf(invoice_html(euro(*lines)), size=size))
    last = read[-1]
    for said in (f"Line {count} of the price", "Before", "To pay", "How to pay", "Terms"):
        assert said in last, said
    assert len(read) <= 3
