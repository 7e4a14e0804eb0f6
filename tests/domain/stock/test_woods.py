"""A wood of the shop: entered once as a sheet, chosen by its name wherever a species is chosen.

Its figures here are those of black walnut in the Wood Handbook, FPL-GTR-190 (2010): 5.5 and 7.8 % (table
4-3), gravity 0.55 at 12 % and 1.68 million psi, 11,583 MPa (table 5-3b). So it must come out as walnut does.
"""

from typing import Any

import pytest

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.pieces.calculations import compute
from jobs.domain.pieces.inputs import read_inputs
from jobs.domain.quoting.proposals import priced_woods
from jobs.domain.settings import settings
from jobs.domain.stock.boards import add_board, reserve_board
from jobs.domain.stock.woods import wood_line, wood_named, wood_names
from jobs.domain.workshop.commands import set_sheet, set_shop
from jobs.models import Board, Piece
from tests.shop_fixtures import INCHES, TOP, Work, an_owner

pytestmark = pytest.mark.django_db
SHEET: dict[str, Any] = {
    "name": "Shop walnut", "gravity": "0.55", "gravity_basis": "12%", "tangential_pct": "7.8",
    "radial_pct": "5.5", "elasticity_mpa": "11583", "oily": False,
    "source": {"gravity": "Wood Handbook (2010), tables 4-3 and 5-3b"},
}  # fmt: skip


@pytest.fixture
def work() -> Work:
    work = Work(an_owner())
    set_sheet(work.call(), kind="wood", key="shop-walnut", data=SHEET)
    return work


def test_a_piece_of_it_is_computed_as_one_of_the_table(work):
    inputs = [read_inputs({**TOP, "species": wood}, INCHES) for wood in ("shop walnut", "black walnut")]
    assert inputs[0]["species"] == "Shop walnut"
    own, tables = (compute(each) for each in inputs)
    assert {name for name, record in own.items() if "refused" in record} == {
        name for name, record in tables.items() if "refused" in record
    }
    assert own.keys() == tables.keys() and {"movement", "weight", "clamping"} <= own.keys()
    assert own["weight"]["result"] == tables["weight"]["result"]
    assert own["movement"]["result"] == tables["movement"]["result"]
    assert any("Shop walnut: shrinkage 7.8 % tangential" in told for told in own["movement"]["source"])


def test_it_bends_as_the_table_wood_and_without_a_modulus_says_so(work):
    asked = {**TOP, "span": "48", "top_load": "100 lb"}
    own, tables = (
        compute(read_inputs({**asked, "species": wood}, INCHES)) for wood in ("shop walnut", "walnut")
    )
    assert own["sag"]["result"]["later_len"] == tables["sag"]["result"]["later_len"]
    set_sheet(work.call(), kind="wood", key="bare", data={**SHEET, "name": "bare", "elasticity_mpa": None})
    bare = compute(read_inputs({**asked, "species": "bare"}, INCHES))
    assert "bare has no modulus of elasticity" in bare["sag"]["refused"] and "refused" not in bare["weight"]


def test_it_has_a_price_boards_on_the_rack_and_a_place_in_offers(work):
    set_shop(work.call(), settings={"lumber_prices": {"shop walnut": "12.50", "black cherry": "9"}})
    assert settings()["lumber_prices"]["Shop walnut"] == "12.50"
    piece = work.accepted(species="shop walnut")
    assert priced_woods(piece, settings()) == ["black cherry"]
    other = work.accepted(label="Another", species="cherry")
    assert priced_woods(other, settings()) == ["Shop walnut"]
    sides = {"thickness": "8/4", "width": "8", "length": "96"}
    add_board(work.call(), units=INCHES, species="SHOP WALNUT", **sides)
    board = Board.objects.get()
    assert board.species == "Shop walnut"
    reserve_board(work.call(), board=board.number, piece=piece.number)
    needed = {need["species"]: need for need in shopping_list(today=work.now.date())["boards"]}
    assert "Shop walnut" in needed


def test_a_wood_marked_as_in_no_table_is_computed_once_it_has_its_figures(work):
    piece = work.accepted(species="ipe (not in the table)")
    assert "refused" in piece.computed["weight"] and "wood of the shop" in piece.computed["weight"]["refused"]
    set_sheet(work.call(), kind="wood", key="ipe", data={**SHEET, "name": "ipe", "gravity": "0.92"})
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "31"})
    again = Piece.objects.get(number=piece.number)
    assert again.inputs["species"] == "ipe (not in the table)" and "refused" not in again.computed["weight"]


def test_its_figures_are_refused_in_place_of_its_name():
    with pytest.raises(Invalid) as refused:
        wood_named("ipe: gravity 0.92")
    assert refused.value.field == "species" and "Product sheets" in refused.value.allowed


def test_an_unknown_wood_names_the_shops_own_too(work):
    with pytest.raises(CalcError) as refused:
        wood_named("shop wallnut")
    assert refused.value.allowed.startswith("Shop walnut; ")
    assert "Shop walnut" in wood_names() and "black walnut" in wood_names()
    assert wood_line("black walnut") == "black walnut"


@pytest.mark.parametrize(
    "key, changed, field",
    [
        ("other", {}, "name"), ("other", {"name": "walnut"}, "name"), ("other", {"name": "Teak"}, "name"),
        ("other", {"name": "x: y"}, "name"), ("other", {"name": "x", "gravity": "9"}, "gravity"),
        ("other", {"name": "x", "gravity_basis": "wet"}, "gravity_basis"),
        ("other", {"name": "x", "points": [{}]}, "points"), ("shop-walnut", {"name": "Walnut no. 2"}, "name"),
    ],
)  # fmt: skip
def test_a_sheet_that_cannot_be_is_refused(work, key, changed, field):
    with pytest.raises((Invalid, CalcError)) as refused:
        set_sheet(work.call(), kind="wood", key=key, data={**SHEET, **changed})
    assert refused.value.field == field and refused.value.allowed


def test_a_later_version_has_new_figures(work):
    set_sheet(work.call(), kind="wood", key="shop-walnut", data={**SHEET, "gravity": "0.60"})
    assert "gravity 0.60" in wood_line("Shop walnut")
