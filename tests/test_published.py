"""The README's table of published checks is what the checks compare today."""

import pytest

from calcs.catalogue import CALCULATIONS
from tests.published.figures import BEGIN, END, README, Check, Row, parts, read, rows_of, run

WRITE_IT = "write the table again: python3 manage.py test --published"


def first_number(text: str) -> float:
    return float(text.split()[0]) if text[:1].isdigit() else 0.0


def test_the_table_of_the_readme_is_not_stale():
    text = README.read_text("utf-8")
    assert text.count(BEGIN) == text.count(END) == 1
    told, found = read(parts(text)[1]), rows_of(run())
    assert [keys(row) for row in told] == [keys(row) for row in found], WRITE_IT
    for old, new in zip(told, found, strict=True):  # the table has two digits, and whole per cents
        assert first_number(new.largest) == pytest.approx(first_number(old.largest), rel=0.1, abs=1e-9), (
            WRITE_IT
        )
        assert first_number(new.share) == pytest.approx(first_number(old.share), abs=1), WRITE_IT
    assert {row.calculation for row in found} == set(CALCULATIONS)


def test_what_the_trade_does_is_no_check():
    def check(seen: str, off: float) -> Check:
        return Check(calculation="finishing", source="a sheet", seen=seen, off=off, within=1, unit="s")

    row = next(
        row for row in rows_of([check("read", 0.1), check("practice", 0.9)]) if row.source == "a sheet"
    )
    assert (row.checks, row.largest, row.share, row.practice) == ("1 read", "0.1 s", "10 %", "1")


def keys(row: Row) -> tuple[str, str, str, str]:
    return row.calculation, row.source, row.checks, row.practice
