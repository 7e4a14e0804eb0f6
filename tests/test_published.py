"""The README's table of published checks is what the checks compare today."""

import pytest

from calcs.catalogue import CALCULATIONS
from tests.published.figures import (
    BEGIN,
    END,
    OUTSIDE,
    README,
    Check,
    Row,
    counted,
    parts,
    read,
    rows_of,
    run,
)

WRITE_IT = "write the table again: python3 manage.py test --published"


def first_number(text: str) -> float:
    return float(text.split()[0]) if text[:1].isdigit() else 0.0


def test_the_table_of_the_readme_is_not_stale():
    text = README.read_text("utf-8")
    assert text.count(BEGIN) == text.count(END) == 1
    checks = run()
    table = parts(text)[1]
    told, found = read(table), rows_of(checks)
    assert [keys(row) for row in told] == [keys(row) for row in found], WRITE_IT
    for old, new in zip(told, found, strict=True):  # the table has two digits, and whole per cents
        assert first_number(new.largest) == pytest.approx(first_number(old.largest), rel=0.1, abs=1e-9), (
            WRITE_IT
        )
        assert first_number(new.share) == pytest.approx(first_number(old.share), abs=1), WRITE_IT
    assert {row.calculation for row in found} == {*CALCULATIONS, *OUTSIDE}
    assert counted(checks) in table, WRITE_IT


def check(kind: str, seen: str, off: float) -> Check:
    return Check(calculation="finishing", kind=kind, source="a sheet", seen=seen, off=off, within=1, unit="s")


def of_the_sheet(*checks: Check) -> Row:
    return next(row for row in rows_of(checks) if row.source == "a sheet")


def test_a_figure_that_is_only_kept_is_not_one_that_is_worked_out():
    checks = [check("computed", "read", 0.1), check("table", "read", 0), check("table", "memory", 0.9)]
    row = of_the_sheet(*checks)
    assert (row.computed, row.kept) == ("1 read", "1 read, 1 from memory")
    assert (row.largest, row.share) == ("0.1 s", "10 %")
    assert of_the_sheet(*checks[1:]).computed == "none" and of_the_sheet(*checks[1:]).largest == "0.9 s"
    assert "finishing 1," in counted(checks) and "finishing" in counted(checks).partition("Fewer")[2]


def test_what_the_trade_does_is_no_check():
    row = of_the_sheet(check("computed", "read", 0.1), check("computed", "practice", 0.9))
    assert (row.computed, row.largest, row.share, row.practice) == ("1 read", "0.1 s", "10 %", "1")


def keys(row: Row) -> tuple[str, ...]:
    return row.calculation, row.source, row.computed, row.kept, row.practice
