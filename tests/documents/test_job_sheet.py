"""The job sheet: two pages a piece whatever the top, one system of units, all that is built from it."""

from pathlib import Path

import pytest

from jobs.documents.render import draft
from tests.documents.reading import pages
from tests.documents.shop import a_shop
from tests.needs import needs
from tests.shop_fixtures import TOP, Work

pytestmark = [needs("weasyprint"), pytest.mark.django_db]
LARGE = {"length": "98", "width": "40", "thickness": "1 3/4"}
TOPS = {
    "two strips": {**TOP, "width": "12", "joinery": "plain glued"},
    "dowels": {**TOP, "joinery": "dowels"},
    "tenons": {**TOP, **LARGE, "joinery": "loose tenons"},
    "biscuits": {**TOP, **LARGE},
    "many strips": {**TOP, "length": "120", "width": "54", "widest_strip": "3"},
    "ends": {**TOP, **LARGE, "thickness": "1 1/2", "route": "edge-glued-breadboard"},
    "ends of many strips": {
        **TOP,
        **LARGE,
        "width": "48",
        "widest_strip": "3",
        "route": "edge-glued-breadboard",
    },
    "stiffeners": {**TOP, **LARGE, "width": "44", "stiffeners": True, "route": "edge-glued-stiffened"},
    "sub-assemblies": {**TOP, **LARGE, "route": "edge-glued-sub-assemblies"},
    "oil": {**TOP, **LARGE, "route": "edge-glued-oil"},
}


def sheet_of(work: Work, number: str) -> bytes:
    return draft(commission=number, kind="job-sheet", now=work.now)


@pytest.mark.parametrize("size", ["letter", "A4"])
@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", TOPS)
def test_a_piece_takes_two_pages(name: str, units: str, size: str):
    work = a_shop(paper_size=size, paper_units=units)
    piece = work.accepted(**TOPS[name])
    made = sheet_of(work, piece.commission.number)
    (Path("/tmp/jobsheet_pdf/t") / f"{name.replace(' ', '_')}-{units}-{size}.pdf").write_bytes(made)
    assert len(pages(made)) == 2
