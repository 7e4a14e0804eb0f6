"""The base of a piece and the way in to its room: sag, tipping, fixings, doors; what acts on them."""

from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.units import inches
from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.documents.checklist import checklist_html
from jobs.domain.commissions.checklist import checklist_content
from jobs.domain.commissions.job_sheet import job_sheet
from jobs.domain.commissions.piece_commands import add_piece, change_piece
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.pieces.blockers import blockers_of
from jobs.domain.quoting.quotes import draft_quote
from jobs.domain.waits.queries import read_routes
from jobs.domain.workshop.commands import set_shop
from jobs.models import Offer, Piece
from tests.documents.samples import a_checklist
from tests.shop_fixtures import INCHES, TOP, Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
LONG = {**TOP, "length": "96", "width": "42", "thickness": "1 1/2", "species": "black walnut"}
TRESTLES = {"base": "trestles", "span": "60", "feet_width": "30", "base_weight": "40 lb"}
DOOR = {"door_width": "36", "door_height": "80"}


def of(work: Work, **asked: object) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **{**LONG, **asked})


def result(piece: Piece, name: str):
    return piece.computed[name]["result"]


def says(piece: Piece) -> list[str]:
    return [one["says"] for one in blockers_of(piece.computed)]


def test_of_a_piece_that_tells_no_base_and_no_way_nothing_is_asked(work: Work):
    piece = of(work)
    assert not {"sag", "tipping", "attachment", "access"} & set(piece.computed)
    assert (piece.inputs["base"], piece.inputs["span_len"], piece.inputs["door_width_len"]) == (
        "none", None, None,
    )  # fmt: skip


class TestSag:
    def test_supports_lie_in_the_middle_unless_told(self, work):
        asked = of(work, **TRESTLES).computed["sag"]["inputs"]
        assert asked["supports_len"] == [inches(18), inches(78)]
        asked = of(work, **TRESTLES, overhang="10").computed["sag"]["inputs"]
        assert asked["supports_len"] == [inches(10), inches(70)]

    def test_what_stays_on_it_and_somebody_leaning_are_counted(self, work):
        """40 lb are 18.14369 kg; leaning is 400 N, 40.8 kg, in the middle of the span."""
        asked = of(work, **TRESTLES, top_load="40 lb").computed["sag"]["inputs"]
        assert float(asked["load_kg"]) == pytest.approx(18.14369, abs=1e-4)
        assert [(p["load_kg"], p["at_len"], p["stays"]) for p in asked["points"]] == [
            ("40.8", inches(48), False)
        ]

    def test_supports_past_the_top_are_told(self, work):
        piece = of(work, **TRESTLES, overhang="40")
        assert piece.computed["sag"]["field"] == "span"
        assert any("supports reach past the top" in each for each in says(piece))

    def test_a_thin_long_top_is_to_be_solved_first(self, work):
        piece = of(work, thickness="3/4", **{**TRESTLES, "span": "90"})
        assert any("will be seen" in each for each in says(piece))


class TestTipping:
    def test_the_whole_table_is_weighed(self, work):
        piece = of(work, **TRESTLES)
        each = Decimal(result(piece, "weight")["each_kg"])
        assert Decimal(result(piece, "tipping")["weight_kg"]) == pytest.approx(
            each + Decimal("18.14"), abs=Decimal("0.1")
        )
        assert result(piece, "tipping")["stands"] is True

    def test_narrow_feet_are_told_when_entered_and_stand_in_the_way_of_accepting(self, work):
        commission = a_commission(work.call(), a_client(work.call()))
        narrow = {**LONG, **TRESTLES, "label": "Top", "feet_width": "10"}
        done = add_piece(work.call(), commission=commission.number, units=INCHES, asked=narrow)
        assert any("tips over with" in notice for notice in done.notices)
        piece = commission.pieces.get()
        assert any("tips over with" in each for each in says(piece))
        wider = {"feet_width": "30"}
        done = change_piece(work.call(), piece=piece.number, units=INCHES, asked=wider)
        piece.refresh_from_db()
        assert not any("tips" in notice for notice in [*done.notices, *says(piece)])

    def test_a_heavy_adult_on_the_edge_is_a_caution_of_sheet_and_checklist(self, work):
        piece = of(work, **{**TRESTLES, "feet_width": "20"})
        read = read_routes([piece])
        sheet = job_sheet(read.routes[0], read.texts)
        assert any("sits on the long edge" in one["text"] for one in sheet["cautions"])
        assert "sits on the long edge" in checklist_html(_paper(piece))

    @pytest.mark.parametrize(
        "asked, field",
        [({"feet_width": "20"}, "feet_length"), ({"feet_length": "60"}, "feet_width")],
    )
    def test_one_side_of_the_feet_alone_is_refused(self, work, asked, field):
        with pytest.raises(Invalid) as refused:
            of(work, **asked)
        assert refused.value.field == field


class TestFixings:
    def test_they_are_counted_priced_and_bought(self, work):
        """Two rails of 30 in: 26 in between the outer fixings, 4 gaps so that none is over 12 in: 5 each."""
        prices = {"table button": "0.90"}
        set_shop(work.call(), settings={"hardware_prices": prices})
        piece = of(work, **TRESTLES, fixing="buttons", quantity=2)
        assert (result(piece, "attachment")["count"], len(result(piece, "attachment")["fixings"])) == (10, 5)
        assert all(fixing["button"] for fixing in result(piece, "attachment")["fixings"])
        draft_quote(work.call(), commission=piece.commission.number)
        lines = Offer.objects.get(commission=piece.commission).basis["pieces"][0]["lines"]
        button = next(line for line in lines if line["what"] == "table button")
        assert (Decimal(button["quantity"]), Decimal(button["amount"])) == (20, Decimal("18.00"))

    def test_they_are_on_the_shopping_list(self, work):
        work.accepted(**LONG, base="legs")
        found = {s["name"]: s["amount"] for s in shopping_list(today=work.now.date())["supplies"]}
        # no feet told: rails 8 in shorter than 42 in; 30 in between the outer ones, 4 gaps, 5 on each of two
        assert found["Screw with washer"] == 10

    def test_figure_eights_under_a_wide_top_are_to_be_solved_first(self, work):
        assert any(
            "figure-eights swing" in each for each in says(of(work, base="legs", fixing="figure-eights"))
        )


class TestTheWayIn:
    def test_a_door_too_small_is_told_when_entered_and_before_accepting(self, work):
        commission = a_commission(work.call(), a_client(work.call()))
        asked = {**LONG, "label": "Top", "door_width": "5", "door_height": "80"}
        done = add_piece(work.call(), commission=commission.number, units=INCHES, asked=asked)
        assert any(notice.startswith("door: no, short by") for notice in done.notices)
        piece = commission.pieces.get()
        assert any(each.startswith("door: no, short by") for each in says(piece))
        checklist = checklist_html(_paper(piece))
        assert "DOES NOT FIT" in checklist

    def test_every_place_is_on_the_delivery_checklist(self, work):
        piece = of(
            work, **DOOR, turn_into="60", turn_out="60", turn_height="84", ceiling="96", lift_width="60",
            lift_depth="60", lift_height="100", lift_door_width="40", lift_door_height="84",
        )  # fmt: skip
        names = [place["name"] for place in result(piece, "access")["passages"]]
        assert names[:4] == ["door", "turn", "lift, its door", "lift"]
        checklist = checklist_html(_paper(piece))
        assert "door: on edge" in checklist and "to spare" in checklist

    @pytest.mark.parametrize(
        "asked, field",
        [
            ({"door_width": "30"}, "door_height"),
            ({"turn_into": "30", "turn_height": "80"}, "turn_out"),
            ({"lift_width": "40"}, "lift_depth"),
            ({"base_weight": "heavy"}, "base_weight"),
            ({"top_load": "-3"}, "top_load"),
            ({"base": "stool"}, "base"),
        ],
    )
    def test_half_a_place_and_nonsense_are_refused(self, work, asked, field):
        with pytest.raises((Invalid, OutOfRange, Unreadable)) as refused:
            of(work, **asked)
        assert refused.value.field == field and refused.value.allowed

    def test_an_emptied_field_is_not_asked_any_more(self, work):
        piece = of(work, **DOOR, base_weight="20")
        assert piece.inputs["typed"]["base_weight"] == "20 lb"
        gone = {"door_width": "", "door_height": "", "base_weight": ""}
        change_piece(work.call(), piece=piece.number, units=INCHES, asked=gone)
        piece.refresh_from_db()
        assert "access" not in piece.computed and piece.inputs["base_weight_kg"] is None
        assert "base_weight" not in piece.inputs["typed"]

    def test_a_bare_mass_is_in_the_person_s_unit(self, work):
        commission = a_commission(work.call(), a_client(work.call()))
        metric = {**LONG, "label": "Top", "length": "2400", "width": "1000", "thickness": "40"}
        add_piece(
            work.call(), commission=commission.number, units=Units(length="mm", temperature="C"),
            asked={**metric, "base_weight": "20"},
        )  # fmt: skip
        assert commission.pieces.get().inputs["base_weight_kg"] == "20"


def _paper(piece: Piece) -> dict[str, object]:
    """The frozen content of a checklist, with a head."""
    return {**a_checklist(), **checklist_content(piece.commission)}
