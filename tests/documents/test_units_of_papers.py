"""In a shop of one system no paper speaks the other; the job sheet and labels have tests beside theirs."""

import re
from datetime import date

import pytest

from jobs.documents.prints import shopping_pdf
from jobs.documents.render import draft
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.papers.letterhead import shop_texts
from tests.documents.reading import words
from tests.documents.shop import a_shop
from tests.needs import needs
from tests.shop_fixtures import TOP

pytestmark = [needs("weasyprint"), pytest.mark.django_db]
TODAY = date(2026, 3, 2)
NOT_IN = {
    "in": r"\d mm\b|\d kg\b|\d mL\b|\d L\b|°C|m³",
    "mm": r"\d\"|\d [1-9]\d?/\d|\d lb\b|fl oz|°F|\d qt\b|\d ft\b|board f|\d in\b",
}


@pytest.mark.parametrize("units", ["in", "mm"])
def test_no_paper_speaks_the_other_system(units: str):
    work = a_shop(paper_units=units)
    piece = work.accepted(**TOP, stiffeners=True, route="edge-glued-stiffened")
    number = piece.commission.number
    told = {
        kind: words(draft(commission=number, kind=kind, now=work.now))
        for kind in ("care-sheet", "delivery-checklist")
    }
    told["shopping list"] = words(shopping_pdf(shopping_list(today=TODAY), shop=shop_texts(), today=TODAY))
    found = {kind: re.findall(rf".{{0,30}}(?:{NOT_IN[units]}).{{0,12}}", text) for kind, text in told.items()}
    assert found == dict.fromkeys(told, [])
    own = NOT_IN["mm" if units == "in" else "in"]
    assert all(re.search(own, text) for text in told.values()), "each paper has figures"
    assert "≈" not in "".join(told.values())
