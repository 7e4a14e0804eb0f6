"""Options in words: what a client may add, without another wood or finish."""

from decimal import Decimal

import pytest

from jobs.core.errors import Invalid
from jobs.domain.quoting.draft_content import Alternative
from jobs.models import Piece
from tests.domain.quoting.offers import WALNUT, a_line, accept, drafted, issued
from tests.shop_fixtures import Work

pytestmark = pytest.mark.django_db


def test_an_option_in_words_is_a_line_of_the_price_and_changes_no_piece(work: Work, piece: Piece):
    lines = [a_line("2000")]
    options = [
        Alternative(description="Edge bevelled", difference=Decimal(60)),
        Alternative(description="Two shelves", difference=Decimal(620)),
    ]
    offer = issued(work, piece, lines=lines, alternatives=options)
    before = Piece.objects.get().inputs
    accept(work, offer, chosen=[1, 2])
    told = [(line.quantity, line.unit_price) for line in piece.commission.price_lines.order_by("position")]
    assert told == [(1, 2000), (1, 60), (1, 620)]
    assert Piece.objects.get().inputs == before


@pytest.mark.parametrize(
    "option, field",
    [
        (Alternative(description=" ", difference=Decimal(60)), "alternatives/0/description"),
        (Alternative(description="Edge bevelled"), "alternatives/0/difference"),
        (Alternative(species=WALNUT, description="Walnut"), "alternatives/0/piece"),
    ],
)
def test_an_option_says_what_it_is_and_what_it_adds(
    work: Work, piece: Piece, option: Alternative, field: str
):
    with pytest.raises(Invalid) as refused:
        drafted(work, piece, alternatives=[option])
    assert refused.value.field == field
