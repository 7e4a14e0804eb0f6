"""Stock, supplies and equipment at their pages, and what a glue-up's page says of them."""

from decimal import Decimal

import pytest

from calcs.kit.units import inches
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.stock.boards import add_board
from jobs.models import Board, Equipment, Hold, MoistureReading, Piece, Supply
from jobs.models.bases import row_key
from tests.shop_fixtures import INCHES, Work, stage_of
from tests.web.conftest import at_the_glue
from tests.web.pages import Pages, head

BOARD = {"species": "walnut", "thickness": "2", "width": "6 1/4", "length": "96"}
GLUE_UP = {"measured.shop_temperature": "68", "measured.wood_and_glue_warm": "yes"}


@pytest.fixture
def board(work: Work) -> str:
    add_board(work.call(), **BOARD, units=INCHES, price="61.50")
    return "/stock/boards/1/"


def test_the_way_there_stands_under_more(maker_pages: Pages):
    page = maker_pages.get("/office/")
    assert 'href="/stock/"' in page.text and 'href="/equipment/"' in page.text


def test_a_board_is_added_and_shown(pages: Pages, maker_pages: Pages):
    added = pages.send("/stock/boards/new/", {**BOARD, "price": "61.50", "note": "one knot"})
    assert added.answer.url == "/stock/boards/1/"
    shown = pages.get("/stock/boards/1/").words
    assert "chalk the number" in shown and "61.50 USD" in shown and "one knot" in shown and "8" in shown
    assert "1 board, 8 board feet" in pages.get("/stock/").words
    assert "61.50" not in maker_pages.get("/stock/boards/1/").words
    assert "price" not in maker_pages.get("/stock/boards/new/").form().typed


def test_what_is_wrong_stands_beside_its_field(pages: Pages):
    page = pages.send("/stock/boards/new/", {**BOARD, "width": "broad"}, status=422)
    assert page.errors["width"] and page.form().typed["width"] == "broad" and head() == 0


def test_a_board_through_its_life(pages: Pages, board: str, piece: Piece):
    pages.send(board, {"pct": "8.5", "depth": "1/4"}, to="/moisture/")
    assert "8.5 %" in pages.get(board).words
    pages.send(board, {"pct": "85"}, to="/moisture/")
    wrong = MoistureReading.objects.last()
    pages.send(board, {"reading": str(wrong.id)}, to="/void-moisture/")
    assert "85 % taken back" in pages.get(board).words
    pages.send(board, {"reading": "none"}, to="/void-moisture/", status=422)
    assert "· 8.5 %" in pages.get("/stock/").words
    pages.send(board, {"piece": piece.number}, to="/reserve/")
    assert f"Reserved for {piece.number}" in pages.get(board).words
    assert "1 · Black walnut" in pages.get(f"/stock/?piece={piece.number}").words
    assert "No such boards" in pages.get("/stock/").words
    refused = pages.send(board, {"reason": ""}, to="/write-off/", status=422)
    assert refused.errors["write-off_reason"] and refused.form("/write-off/")
    pages.send(board, {}, to="/use/")
    pages.send(board, {"length": "20"}, to="/offcut/")
    assert "Cut off Board 1" in pages.get("/stock/boards/2/").words
    pages.send("/stock/boards/2/", {"reason": "split"}, to="/write-off/")
    assert Board.objects.get(number=2).step == Board.Step.WRITTEN_OFF
    assert {form.action for form in pages.get("/stock/boards/2/").forms} == {"/stock/labels/"}
    pages.get("/stock/?step=used")
    pages.post("/stock/boards/1/sell/", {}, 404)
    pages.get("/stock/boards/7/", 404)


def test_what_was_typed_is_changed_on_the_page_of_the_board(pages: Pages, maker_pages: Pages, board: str):
    form = pages.get(board).form("/change/")
    assert form.typed["species"] == "black walnut" and form.typed["width"] == '6 1/4"'
    pages.send(board, {"width": "7", "note": "one knot"}, to="/change/")
    one = Board.objects.get()
    assert (one.width_len, one.length_len, one.price) == (inches(7), inches(96), Decimal("61.50"))
    assert "one knot" in pages.get(board).words and "Board 1 changed" in pages.get("/log/").words
    refused = pages.send(board, {"length": "broad"}, to="/change/", status=422)
    assert refused.errors["change_length"] and refused.form("/change/").typed["length"] == "broad"
    assert pages.send(board, {}, to="/change/", status=422).words.count("othing to change")
    assert "price" not in maker_pages.get(board).form("/change/").typed


def test_a_used_board_asks_for_no_sizes(pages: Pages, board: str, piece: Piece):
    pages.send(board, {"piece": piece.number}, to="/use/")
    assert not {"species", "width", "length"} & set(pages.get(board).form("/change/").typed)
    pages.send(board, {"price": "50"}, to="/change/")
    assert Board.objects.get().price == Decimal(50)


def test_a_board_is_offered_to_pieces_of_its_wood_and_thickness_alone(pages: Pages, work: Work):
    walnut, cherry = (work.accepted(species=wood, label=wood) for wood in ("black walnut", "black cherry"))
    thick = work.accepted(species="black walnut", thickness="3", label="thick")
    add_board(work.call(), **BOARD, units=INCHES)
    page = pages.get("/stock/boards/1/")
    assert walnut.number in page.text and cherry.number not in page.text and thick.number not in page.text
    oak = {**BOARD, "species": "white oak"}
    add_board(work.call(), **oak, units=INCHES)
    assert "No piece that is being made takes this wood" in pages.get("/stock/boards/2/").words


def test_the_boards_of_a_piece_are_listed_with_the_free_ones_that_suit_it(pages: Pages, work: Work):
    piece = work.accepted(species="black cherry")
    cherry = {**BOARD, "species": "cherry"}
    for asked in (cherry, cherry, cherry, BOARD, {**cherry, "thickness": "1"}):
        add_board(work.call(), **asked, units=INCHES)
    page = pages.get(f"/stock/?piece={piece.number}")
    assert "No board is reserved for it" in page.words and "No such boards" not in page.words
    assert [f"/boards/{n}/reserve/" in page.text for n in range(1, 6)] == [True, True, True, False, False]
    pages.send(f"/stock/?piece={piece.number}", {}, to="/boards/2/reserve/")
    again = pages.get(f"/stock/?piece={piece.number}")
    assert Board.objects.get(number=2).piece == piece.number and "1 board, 8 board feet" in again.words
    assert [f"/boards/{n}/reserve/" in again.text for n in range(1, 4)] == [True, False, True]
    bare = pages.get(f"/stock/?piece={work.accepted(species='black walnut', thickness='3').number}").words
    assert "No free board has the wood and thickness" in bare


def test_a_free_board_is_not_used_by_nobody(pages: Pages, board: str):
    refused = pages.send(board, {}, to="/use/", status=422)
    assert "piece that used it is missing" in refused.errors["use_piece"]


def test_a_supply_through_its_life(pages: Pages):
    asked = {"kind": "glue", "name": "Yellow glue", "sheet": "pva", "lot": "L-17", "got_on": "2020-01-05"}
    address = pages.send("/stock/supplies/new/", asked).answer.url
    shown = pages.get(address).words
    # PVA keeps about 12 months: calcs/tables/glues.csv, common practice, no source; 2020 is a leap year.
    assert "Past its date" in shown and "4 Jan 2021" in shown
    assert "past its date" in pages.get("/stock/").words
    pages.send(address, {}, to="/open/")
    pages.send(address, {"level": "low"}, to="/level/")
    page = pages.send(address, {"lot": "L;18"}, to="/refill/", status=422)
    assert page.errors["refill_lot"]
    pages.send(address, {"lot": "L-18"}, to="/refill/")
    assert "L-18" in pages.get(address).words and "Full" in pages.get(address).words
    pages.send(address, {"reason": "frozen"}, to="/discard/")
    assert Supply.objects.get().discarded_at and not pages.get(address).forms
    assert "Yellow glue" not in pages.get("/stock/").words


def test_equipment_is_added_changed_and_taken_out_of_use(pages: Pages):
    pages.send("/equipment/new/", {"kind": "clamp", "count": "6", "reach": "40", "name": "Bar clamps"})
    pages.send("/equipment/new/", {"kind": "bench place", "count": "1"})
    words = pages.get("/equipment/").words
    assert 'Bar clamps, 40"' in words and "6 of 6 free" in words and "1 of 1 free" in words
    one = Equipment.objects.get(kind="clamp")
    pages.send(f"/equipment/{one.id}/", {"count": "8"})
    assert "8 of 8 free" in pages.get("/equipment/").words
    assert pages.send(f"/equipment/{one.id}/", {"count": "0"}, status=422).errors["count"]
    pages.send(f"/equipment/{one.id}/", to="/retire/")
    assert "Bar clamps" not in pages.get("/equipment/").words


@pytest.mark.parametrize("typed", ["1_0", "٣"])
def test_a_count_is_typed_in_plain_digits(pages: Pages, typed: str):
    asked = {"kind": "clamp", "count": typed, "reach": "40", "name": "Bar clamps"}
    page = pages.send("/equipment/new/", asked, status=422)
    assert page.errors["count"] and page.form().typed["count"] == typed and head() == 0


def test_a_glue_up_takes_clamps_and_says_what_is_wrong_with_its_glue(pages: Pages, work: Work, piece: Piece):
    made = add_equipment(work.call(), kind="clamp", count=6, reach="40", units=INCHES, name="Bar clamps")
    field = f"clamps.{row_key(made.events[0].seq)}"
    at_the_glue(work, piece)
    url = f"/pieces/{piece.number}/stages/glue-up/"
    page = pages.get(url)
    assert "6 of 6 are free" in page.words and "No container of this glue" in page.words
    refused = pages.send(url, {**GLUE_UP, field: "7"}, to="/start/", status=409)
    assert "6 of 6 are free" in refused.errors[field] and refused.form("/start/").typed[field] == "7"
    pages.send(url, {**GLUE_UP, field: "5"}, to="/start/")
    assert "Holds 5 Bar clamps" in pages.get(url).words
    shown = pages.get("/equipment/")
    assert "1 of 6 free" in shown.words and f"{piece.number} Glue-up holds 5" in shown.words
    pages.send("/equipment/", to="/free-clamps/")
    assert not Hold.objects.exists()
    pages.send(url, {"measured.glue_lot": "L-17"}, to="/finish/")
    assert "not among the supplies" in pages.get(url).words
    assert stage_of(piece, "glue-up").step == "waiting"
    assert not [n for n in pages.get(f"/pieces/{piece.number}/stages/clamps-off/").forms if field in n.typed]
