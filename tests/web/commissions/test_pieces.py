"""Pieces of a commission: added, changed, removed."""

import pytest

from jobs.models import Piece
from tests.shop_fixtures import QUICK_FINISH, TOP, Work
from tests.web.pages import Pages


class TestPieces:
    def test_adding_a_piece(self, pages: Pages, piece: Piece):
        number = piece.commission.number
        pages.send(f"/commissions/{number}/pieces/new/", {**TOP, "label": "Side table"})
        assert Piece.objects.filter(commission__number=number).count() == 2
        assert "Side table" in pages.get(f"/commissions/{number}/").words

    def test_a_piece_with_its_own_stages(self, pages: Pages, piece: Piece):
        typed = {"label": "Four legs", "route": "free-list", "stages": "Legs turned\nLegs sanded"}
        pages.send(f"/commissions/{piece.commission.number}/pieces/new/", typed)
        assert "Legs turned" in pages.get(f"/commissions/{piece.commission.number}/").words

    def test_changing_sends_only_what_differs(self, pages: Pages, piece: Piece):
        """162.7 mm shows rounded in inches; saving the form unchanged must not move it at all."""
        pages.send(f"/pieces/{piece.number}/change/", {"length": "1623.4 mm"})
        piece.refresh_from_db()
        length = piece.inputs["length_len"]
        assert "≈" in pages.get(f"/pieces/{piece.number}/change/").form().typed["length"]
        pages.send(f"/pieces/{piece.number}/change/", {"width": "31"})
        piece.refresh_from_db()
        assert piece.inputs["length_len"] == length == 1623.4 * 8000
        assert piece.inputs["width_len"] == 31 * 203200

    def test_the_underside_follows_the_face_unless_told(self, pages: Pages, piece: Piece):
        pages.send(f"/pieces/{piece.number}/change/", {"finish_face": "shellac"})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("shellac", "shellac")
        pages.send(f"/pieces/{piece.number}/change/", {"finish_under": "hard-wax-oil"})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("shellac", "hard-wax-oil")

    def test_a_piece_takes_the_finish_that_is_usual_for_its_route(self, pages: Pages, piece: Piece):
        at = f"/commissions/{piece.commission.number}/pieces/new/"
        pages.send(at, {**TOP, "route": "edge-glued-oil"})
        assert Piece.objects.order_by("id").last().inputs["finish_face"] == "hard-wax-oil"
        page = pages.send(f"/pieces/{piece.number}/change/", {"route": "edge-glued-oil"}, status=422)
        assert "leaves no film" in page.errors["finish_face"]
        pages.send_form(f"/pieces/{piece.number}/change/", page.form(), {"finish_face": ""})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("hard-wax-oil",) * 2

    def test_an_emptied_field_goes_back_to_its_default_or_is_refused(self, pages: Pages, piece: Piece):
        at = f"/pieces/{piece.number}/change/"
        pages.send(at, {"waste_pct": "40", "trim_length": "3", "build_coats": "5"})
        pages.send(at, {"waste_pct": "", "trim_length": "", "build_coats": ""})
        piece.refresh_from_db()
        assert piece.inputs["waste_pct"] is None and piece.inputs["trim_length_len"] == 2 * 203200
        assert piece.inputs["build_coats"] == QUICK_FINISH["build_coats"]
        for name in ("length", "species", "label", "route"):
            assert "needs a" in pages.send(at, {name: ""}, status=422).errors[name]

    def test_a_change_that_would_drop_begun_stages_is_refused(self, pages: Pages, work: Work, piece: Piece):
        work.do(piece, "survey", "stock")
        typed = {"route": "free-list", "stages": "Planed"}
        page = pages.send(f"/pieces/{piece.number}/change/", typed, status=409)
        assert "begun stages" in page.words and page.form().typed["stages"] == "Planed"

    def test_removing(self, pages: Pages, work: Work, piece: Piece):
        work.start(piece, "survey")
        page = pages.send(f"/pieces/{piece.number}/remove/", status=409)
        assert "have been started" in page.words
        pages.send(f"/pieces/{piece.number}/stages/survey/", to="/put-back/")
        pages.send(f"/pieces/{piece.number}/remove/")
        assert not Piece.objects.exists()

    @pytest.mark.parametrize(
        "text, says",
        [
            ("6 13/32", '= 6 13/32" (≈ 162.7 mm)'),
            ("1.2 m", '= ≈ 47 1/4" (1200 mm)'),
            ("a yard", "cannot be read"),
            ("", ""),
        ],
    )
    def test_a_length_is_echoed_as_it_is_read(self, pages: Pages, text: str, says: str):
        assert says in pages.get(f"/length/?length={text}").words.replace(' "', '"')
