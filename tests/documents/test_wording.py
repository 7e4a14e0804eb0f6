"""Figures and texts as printed on paper."""

import pytest

from jobs.documents.kit.wording import clean, day, inches, millimetres, money, number, percent


@pytest.mark.parametrize(
    "amount, written",
    [
        ("1234.5", "1,234.50"), ("0", "0.00"), ("-980.50", "\u2212980.50"), ("78.125", "78.125"),
        ("12.3456", "12.3456"), ("12.3000", "12.30"), ("1E+3", "1,000.00"), ("1000000", "1,000,000.00"),
        ("0.0001", "0.0001"),
    ],
)  # fmt: skip
def test_money(amount: str, written: str):
    assert money(amount) == written
    assert money(amount, "USD") == f"{written} USD"


@pytest.mark.parametrize(
    "value, written",
    [("2", "2"), ("2.500", "2.5"), ("-1", "-1"), ("10000", "10,000"), ("100", "100"), ("0.0", "0")],
)
def test_numbers_lose_their_closing_zeros_only(value: str, written: str):
    assert number(value) == written
    assert percent(value) == f"{written} %"


def test_days_cannot_be_misread():
    assert day("2026-03-02") == "2 March 2026"
    assert day(None) == day("") == ""


# 1 in = 25.4 mm by definition (NIST SP 811, 2008, appendix B)
@pytest.mark.parametrize(
    "units, in_inches, in_mm",
    [(60 * 203200, '60"', "1524 mm"), (355600, '1 3/4"', "≈ 44.5 mm"), (None, "", "")],
)
def test_sizes_in_both_units(units: int | None, in_inches: str, in_mm: str):
    assert (inches(units), millimetres(units)) == (in_inches, in_mm)


@pytest.mark.parametrize(
    "text, printed",
    [
        ("plain", "plain"), (None, ""), ("  a \n b ", "a \n b"), ("a\r\nb\rc\u2028d", "a\nb\nc\nd"),
        ("bell\x07 and\x1b escape\x7f", "bell and escape"), ("\ufeffüber\u00ad", "\ufeffüber\u00ad"),
        ("ไม้ wood", "□□□ wood"), ("🪵", "🪵"), ("<b>&amp;", "<b>&amp;"),
    ],
)  # fmt: skip
def test_texts_as_printed(text: str | None, printed: str):
    assert clean(text) == printed
