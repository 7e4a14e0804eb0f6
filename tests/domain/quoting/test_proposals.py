"""A proposed price: lumber, hours, overhead and profit, its words, and what another choice costs."""

from decimal import Decimal

import pytest

from jobs.core.errors import NotYet
from jobs.core.units import Units
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.proposals import words_for
from jobs.log.private_texts import read
from jobs.models import Offer, Piece
from tests.domain.quoting.offers import OAK, WALNUT, drafted
from tests.shop_fixtures import INCHES, Work, a_client, a_commission, a_piece

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def test_a_price_is_proposed_from_lumber_hours_overhead_and_profit(work: Work, piece: Piece):
    """Worked by hand: (bf of whole boards x 8 + 20 h x 60) x 1.10 x 1.20; three boards of 11 ft
    hold two strips each; a board of 8/4 has a surface measure of 6 and 12 board feet."""
    line = drafted(work, piece).lines.get()
    wood = Decimal(36) * 8
    overhead = ((wood + 1200) * Decimal("0.1")).quantize(Decimal("0.01"))
    profit = ((wood + 1200 + overhead) * Decimal("0.2")).quantize(Decimal("0.01"))
    assert line.unit_price == wood + 1200 + overhead + profit
    assert line.tax_pct == 19
    assert f"{OAK}," in read(line.description_ref)


@pytest.mark.parametrize(
    "units, ordered",
    [
        (INCHES, '72" × 812 mm (≈ 31 31/32") × 1 1/2"'),  # 812 / 25.4 = 31.9685; 31 31/32 = 31.96875
        (Units(length="mm"), '72" (1828.8 mm) × 812 mm × 1 1/2" (38.1 mm)'),
    ],
)
def test_a_size_stands_in_the_unit_in_which_it_was_ordered(work: Work, units: Units, ordered: str):
    asked = {"length": "6'", "width": "812 mm", "thickness": '1 1/2"', "species": OAK}
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **asked)
    assert words_for(piece, "Top", units).splitlines()[1].startswith(f"{ordered}, {OAK}")


def test_another_wood_costs_what_its_lumber_costs_more(work: Work, piece: Piece):
    """(14.50 - 8) for each board foot of the three boards, with overhead and profit on it."""
    other = Alternative(piece=piece.number, species=WALNUT)
    one = drafted(work, piece, alternatives=[other]).alternatives.get()
    feet = Decimal(36)
    expected = feet * Decimal("6.5") * Decimal("1.1") * Decimal("1.2")
    assert abs(one.difference - expected) <= Decimal("0.03")
    assert read(one.description_ref) == "Desk top: in black walnut instead of white oak"


def test_without_a_price_of_both_the_difference_is_asked_for(work: Work, piece: Piece):
    other = Alternative(piece=piece.number, finish="oil-varnish")
    with pytest.raises(NotYet) as refused:
        drafted(work, piece, alternatives=[other])
    assert refused.value.field == "alternatives/0/difference"
    assert "oil varnish" in str(refused.value)  # as it is called, not its key
    assert not Offer.objects.exists()
