"""The grade of the boards that a piece is bought in, and what its clear share costs."""

from decimal import Decimal
from typing import Any

import pytest

from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.workshop.commands import set_shop
from jobs.models import Piece
from tests.shop_fixtures import INCHES, Work

pytestmark = pytest.mark.django_db


def figures(piece: Piece) -> dict[str, Any]:
    found: dict[str, Any] = Piece.objects.get(id=piece.id).computed["lumber"]["result"]
    return found


def test_the_grade_sets_the_usable_share_unless_a_waste_is_typed(work: Work):
    """AHEC: no. 1 common is 8/12 clear, FAS 10/12; so 50 % and 20 % are bought on top."""
    set_shop(work.call(), settings={"waste_pct": "0"})
    piece = work.accepted(grade="no. 1 common")
    common = figures(piece)
    assert (common["usable_pct"], common["waste_pct"]) == ("66.67", "50.00")
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"grade": "FAS"})
    fas = figures(piece)
    assert (fas["usable_pct"], fas["waste_pct"]) == ("83.33", "20.00")
    assert abs(Decimal(common["gross_bf"]) / Decimal(fas["gross_bf"]) - Decimal("1.25")) < Decimal("0.001")
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"waste_pct": "10"})
    assert Decimal(figures(piece)["waste_pct"]) == 10
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"waste_pct": "", "grade": ""})
    assert Decimal(figures(piece)["waste_pct"]) == 0


def test_strips_longer_than_the_clear_cuttings_of_a_grade_are_named(work: Work):
    """AHEC: the clear cuttings of no. 1 common are 3 in x 3 ft and more, those of FAS up to 7 ft."""
    for grade, named in (("no. 1 common", True), ("FAS", False)):
        notes = work.accepted(grade=grade).computed["lumber"]["notes"]  # strips of 62 in
        assert any("longer than the cuttings that are clear" in note for note in notes) is named
