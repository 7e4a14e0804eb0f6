"""An oak top in a shop with prices."""

import pytest

from jobs.domain.workshop.commands import set_shop
from jobs.models import Piece
from tests.domain.quoting.offers import OAK, WALNUT
from tests.shop_fixtures import Work, a_client, a_commission, a_piece


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return an oak top of a new commission, in a shop with prices."""
    rates = {
        "hourly_rate": "60", "overhead_pct": "10", "profit_pct": "20", "tax_pct": "19", "deposit_pct": "50",
        "lumber_prices": {OAK: "8", WALNUT: "14.50"}, "finish_prices": {"hard-wax-oil": "40"},
    }  # fmt: skip
    set_shop(work.call(), settings=rates)
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species=OAK)
