"""Breadboard ends of a piece: its strips, rip list, lumber, price, drawing and shopping list."""

from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange
from calcs.kit.units import inches
from jobs.core.errors import Invalid
from jobs.domain.commissions.job_sheet import job_sheet
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.pieces.blockers import blockers_of
from jobs.domain.pieces.drawing import views_of
from jobs.domain.waits.queries import read_routes
from jobs.models import Piece
from tests.shop_fixtures import INCHES, TOP, Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
ENDED = {
    **TOP, "length": "96", "width": "42", "thickness": "1 1/2", "route": "edge-glued-breadboard",
    "species": "black walnut",
}  # fmt: skip


def of(work: Work, **asked: object) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **{**ENDED, **asked})


def result(piece: Piece, name: str):
    return piece.computed[name]["result"]


# By hand: ends 4 in wide and tongues half as deep leave 96 - 8 + 4 = 92 in of panel, 94 in with the trim.
def test_strips_are_cut_to_the_shoulders_and_the_tongues(work: Work):
    piece = of(work)
    assert result(piece, "layout")["blank_len"] == result(piece, "lumber")["blank_len"] == inches(94)
    assert piece.computed["gluing"]["inputs"]["length_len"] == inches(94)
    assert piece.computed["clamping"]["inputs"]["length_len"] == inches(94)
    found = result(piece, "breadboard")
    assert (found["end_wide_len"], found["tongue_deep_len"]) == (inches(4), inches(2))
    assert (found["tongue_thick_len"], found["end_thick_len"]) == (inches("1/2"), inches("3/2"))
    assert found["glued_to_len"] - found["glued_from_len"] == inches(6)


def test_its_ends_are_in_the_rip_list_the_lumber_and_the_drawing(work: Work):
    piece, plain = of(work), of(work, route="edge-glued-film")
    read = read_routes([piece])
    sheet = job_sheet(read.routes[0], read.texts)
    assert [strip["cut_len"] for strip in sheet["rip_list"]["figures"]["strips"]] == [inches(94)] * 7
    ends = [(end["width_len"], end["cut_len"]) for end in sheet["rip_list"]["figures"]["ends"]]
    assert ends == [(inches(4), inches(44))] * 2
    assert any("breadboard ends" in note for note in piece.computed["lumber"]["notes"])
    net = (Decimal(result(each, "lumber")["net_bf"]) for each in (piece, plain))
    assert len(set(net)) == 1  # the finished top is as large with ends as without
    assert views_of(piece.computed, piece.inputs) == ["client", "glue-up", "breadboard"]
    assert views_of(plain.computed, plain.inputs) == ["client", "glue-up"]


def test_own_sizes_reach_every_figure(work: Work):
    own = {
        "end_width": "5",
        "tongue_depth": "1 1/2",
        "tongue_thickness": "3/8",
        "pegs": "5",
        "flush": "between",
    }
    piece = of(work, **own, peg_diameter="1/4", glued_middle="4", peg_play="0", peg_edge="4")
    found = result(piece, "breadboard")
    assert result(piece, "layout")["blank_len"] == inches(96 - 10 + 3 + 2)
    assert (len(found["pegs"]), found["peg_len"], found["flush"]) == (5, inches("1/4"), "between")
    assert found["glued_to_len"] - found["glued_from_len"] == inches(4)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"end_width": "", "pegs": ""})
    piece.refresh_from_db()
    assert result(piece, "breadboard")["end_wide_len"] == inches(4)
    assert len(result(piece, "breadboard")["pegs"]) == 3


def test_a_third_of_the_width_in_glue_is_to_be_solved_first(work: Work):
    says = [one["says"] for one in blockers_of(of(work, glued_middle="14").computed)]
    assert any("glue across the grain" in each and "split" in each for each in says)
    assert not any("across the grain" in one["says"] for one in blockers_of(of(work).computed))


def test_pegs_are_on_the_shopping_list_until_the_ends_are_on(work: Work):
    piece = work.accepted(**ENDED)
    names = {s["name"]: s["amount"] for s in shopping_list(today=work.now.date())["supplies"]}
    assert names['Breadboard peg, 3/8" (≈ 9.5 mm)'] == 6
    assert piece.number


@pytest.mark.parametrize(
    "wrong, field",
    [({"pegs": "4"}, "pegs"), ({"end_width": "1/2"}, "end_width"), ({"flush": "never"}, "flush")],
)
def test_nonsense_is_refused(work: Work, wrong, field):
    with pytest.raises((Invalid, OutOfRange)) as refused:
        of(work, **wrong)
    assert refused.value.field == field and refused.value.allowed


def test_slots_keep_clear_of_tongue_and_recess_though_the_ends_reach_past_the_panel(work: Work):
    """Recesses are placed from the finished end, 2 in past the end of the tongue; slots from the tongue."""
    piece = of(work, stiffeners="yes")
    asked = piece.computed["joinery"]["inputs"]
    stiff = result(piece, "stiffening")["recesses"]
    assert [r["from_end_len"] for r in asked["recesses"]] == [r["from_end_len"] - inches(2) for r in stiff]
    assert min(result(piece, "joinery")["positions_len"]) - inches("9/8") > inches(2)
    assert "measured from the end of the tongue" in piece.computed["joinery"]["notes"]
