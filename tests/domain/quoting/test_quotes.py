"""Drafts of quotes: what is refused, and what is thrown away."""

from decimal import Decimal
from typing import Any

import pytest

from calcs.kit.errors import CalcError
from jobs.core.errors import Forbidden, ShopError, WrongState
from jobs.domain.quoting.draft_content import Alternative, drop_draft
from jobs.domain.quoting.quotes import rewrite_offer
from jobs.log.rebuild import compare
from jobs.models import Offer, Piece
from tests.domain.quoting.offers import WALNUT, a_line, accept, drafted, head, issued
from tests.shop_fixtures import Work, a_call, a_maker

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


BAD: dict[str, dict[str, Any]] = {
    "valid_days": {"valid_days": 0},
    "deposit_pct": {"deposit_pct": Decimal(101)},
    "hours": {"hours": {"2026-999-1": Decimal(2)}},
    "lines": {"lines": [a_line("100", "-1")]},
    "lines/0/unit_price": {"lines": [a_line("-5")]},
    "alternatives/0/species": {"alternatives": [Alternative(piece="2026-001-1", species="plastic")]},
    "alternatives/0/piece": {"alternatives": [Alternative(piece="no", species=WALNUT)]},
}


@pytest.mark.parametrize("field", BAD)
def test_a_bad_quote_is_refused_and_nothing_written(work: Work, piece: Piece, field: str):
    before = head()
    with pytest.raises((ShopError, CalcError)) as refused:
        drafted(work, piece, **BAD[field])
    assert refused.value.field == field
    assert head() == before


class TestDraft:
    def test_it_is_thrown_away_and_another_is_written(self, work: Work, piece: Piece):
        offer = drafted(work, piece, lines=[a_line("1000")], alternatives=[])
        drop_draft(work.call(), offer=offer.number)
        assert not Offer.objects.exists()
        assert compare() == []
        assert drafted(work, piece).number == offer.number, "it was never given out"

    def test_of_a_next_version_the_issued_one_stays(self, work: Work, piece: Piece):
        offer = issued(work, piece, lines=[a_line("1000")])
        rewrite_offer(work.call(), offer=offer.number, words="A little later")
        drop_draft(work.call(), offer=offer.number)
        assert [(o.version, o.step) for o in Offer.objects.all()] == [(1, "issued")]
        accept(work, offer)

    def test_what_was_issued_is_not(self, work: Work, piece: Piece):
        offer = issued(work, piece)
        with pytest.raises(WrongState, match="issued"):
            drop_draft(work.call(), offer=offer.number)

    def test_it_is_the_owners(self, work: Work, piece: Piece):
        offer = drafted(work, piece)
        with pytest.raises(Forbidden):
            drop_draft(a_call(a_maker(), work.now), offer=offer.number)
