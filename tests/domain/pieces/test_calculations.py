"""The calculations of a piece: which apply, what one gives the next, what the shop adds."""

from time import process_time

import pytest

from calcs.kit.errors import Unknown, Unreadable
from calcs.kit.units import inches
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.pieces.calculations import compute
from jobs.domain.pieces.drawing import views_of
from jobs.domain.pieces.surfaces import face_works
from jobs.domain.routes.schema import HERE
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.stages.route_edits import set_template
from jobs.domain.workshop.commands import set_shop
from jobs.models import Equipment, Piece
from tests.shop_fixtures import INCHES, TOP, Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
LONG = {"length": "96", "width": "42", "thickness": "1 3/4"}
NAMED = {"label": "Top", "species": "black walnut"}


def of(work: Work, **asked: object) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **asked)


def changed(work: Work, piece: Piece, **asked: object) -> Piece:
    change_piece(work.call(), piece=piece.number, units=INCHES, asked=asked)
    piece.refresh_from_db()
    return piece


def result(piece: Piece, name: str):
    return piece.computed[name]["result"]


class TestWhatApplies:
    def test_a_copy_of_a_template_under_another_key_keeps_its_calculations(self, work):
        for key in ("edge-glued-breadboard", "edge-glued-oil"):
            text = (HERE / f"{key}.toml").read_text(encoding="utf-8")
            set_template(work.call(), text=text.replace(f'key = "{key}"', f'key = "own-{key}"', 1))
        ends = [
            of(work, **LONG, **NAMED, route=f"{own}edge-glued-breadboard").computed["breadboard"]
            for own in ("own-", "")
        ]
        assert ends[0] == ends[1]
        oiled = of(work, **LONG, **NAMED, route="own-edge-glued-oil")
        assert oiled.computed["sanding"]["inputs"]["last_grit"] == "P180"

    def test_a_wood_outside_the_table_is_laid_and_says_what_cannot_be_figured(self, work):
        piece = of(work, **TOP | {"species": "ipe (not in the table)"})
        assert piece.inputs["species"] == "ipe (not in the table)" and piece.stages.exists()
        for name in ("movement", "weight", "lifting", "clamping"):
            assert piece.computed[name]["refused"].startswith("no figures for ipe in the table"), name
        assert result(piece, "layout") and result(piece, "lumber") and result(piece, "curing")
        for wrong in (
            "ipe",
            "(not in the table)",
            "i\u202epe (not in the table)",
            "i" * 80 + " (not in the table)",
        ):
            with pytest.raises((Unreadable, Unknown)) as refused:
                changed(work, piece, species=wrong)
            assert refused.value.field == "species"

    def test_a_route_that_lets_in_stiffeners_has_them_or_says_what_is_amiss(self, work):
        piece = of(work, **LONG, **NAMED, route="edge-glued-stiffened")
        assert result(piece, "stiffening")["count"] == 3
        refused = changed(work, piece, stiffeners="no").computed["stiffening"]
        assert (refused["field"], refused["value"], refused["allowed"]) == ("stiffeners", "no", "yes")

    def test_stiffeners_reach_the_slots_the_weight_and_the_lift(self, work):
        piece = of(work, **LONG, stiffeners="yes")
        stiff = result(piece, "stiffening")
        # Three channels of 34 in: 1 1/2 in web and two legs 1/2 in high, 1/8 in thick: 0.28125 in² x 102 in =
        # 28.69 in³ of steel at 7850 kg/m³ (EN 1991-1-1 (2002) table A.4): 3.69 kg.
        assert (stiff["count"], stiff["channel_len"]) == (3, inches(34))
        assert result(piece, "weight")["steel_kg"] == "3.7"
        assert result(piece, "lifting")["weight_lb"] == result(piece, "weight")["each_lb"]
        assert len(piece.computed["joinery"]["inputs"]["recesses"]) == 3

    def test_without_stiffeners_nothing_is_said_of_them(self, work):
        piece = of(work, **LONG)
        assert "stiffening" not in piece.computed and result(piece, "weight")["steel_kg"] == "0.0"

    def test_a_breadboard_is_for_its_route(self, work):
        assert "breadboard" not in of(work, **LONG).computed
        piece = of(work, **TOP | LONG, route="edge-glued-breadboard")
        assert result(piece, "breadboard")["pegs"] and piece.computed["breadboard"]["source"]

    def test_plain_glued_joints_have_no_slots_and_both_faces_spread(self, work):
        piece = of(work, joinery="plain glued")
        assert piece.computed["joinery"]["notes"] == ["plain glued: no slots"]
        assert result(piece, "joinery") == {}
        asked = piece.computed["gluing"]["inputs"]
        assert (asked["faces"], asked["slots"]) == ("both", 0)

    def test_slots_make_way_for_recesses(self, work):
        """At 1 1/2 in the recesses at 15 and 45 in reach to the slots; every 10.4 in from 4 in hits them."""
        piece = of(work, stiffeners="yes")
        asked, found = piece.computed["joinery"]["inputs"], result(piece, "joinery")
        for at in found["positions_len"]:
            for recess in asked["recesses"]:
                left, right = at - found["along_len"] // 2, at + found["along_len"] // 2
                assert right < recess["from_end_len"] or left > recess["from_end_len"] + recess["along_len"]
        assert any("clear of the recesses" in note for note in piece.computed["joinery"]["notes"])

    def test_one_board_has_no_joint(self, work):
        piece = of(work, width="5")
        for name in ("joinery", "gluing", "clamping"):
            assert result(piece, name) == {} and "no joint" in piece.computed[name]["notes"][0]
        assert views_of(piece.computed, piece.inputs) == ["client"]

    def test_what_cannot_be_slotted_is_glued_all_the_same(self, work):
        piece = of(work, thickness="3/8")
        assert piece.computed["joinery"]["field"] == "thickness"
        assert result(piece, "gluing")["glue_ml"]
        assert any("slots not counted" in note for note in piece.computed["gluing"]["notes"])

    @pytest.mark.parametrize(
        "joints, thickness, joiner",
        [
            ("biscuits", "1 1/2", "biscuit 20"),
            ("dowels", "1 1/2", "dowel 1/2"),
            ("dowels", "1 1/4", "dowel 1/2"),
            ("dowels", "3/4", "dowel 5/16"),
            ("loose tenons", "1", "loose tenon 1/4"),
        ],
    )
    def test_the_joiner_goes_by_the_thickness(self, work, joints, thickness, joiner):
        """A dowel takes a third to half of it (a page's rule, read), a loose tenon a third at most."""
        piece = of(work, joinery=joints, thickness=thickness)
        assert piece.computed["joinery"]["inputs"]["joiner"] == joiner

    def test_slots_glue_and_clamps_are_of_the_same_strips(self, work):
        piece = of(work)
        strips = result(piece, "layout")["strips"]
        assert len(result(piece, "joinery")["edges"]) == len(strips) == 5
        assert piece.computed["gluing"]["inputs"]["slots"] == result(piece, "joinery")["slots"]
        # 60 in and 2 in of extra length: strips are glued and clamped as long as they are cut.
        assert piece.computed["clamping"]["inputs"]["length_len"] == inches(62)


class TestTheShop:
    def test_its_clamps_are_counted_and_those_on_other_work_are_not_free(self, work):
        first = work.accepted(**LONG)
        add_equipment(work.call(), kind="clamp", count=12, reach="50", units=INCHES, name="long")
        work.do_until(first, "dry-fit")
        clamps = {str(Equipment.objects.get().id): 9}
        measured = {"shop_temperature": "20 C", "wood_and_glue_warm": "yes"}
        work.start(first, "glue-up", clamps=clamps, measured=measured)
        second = of(work, **LONG)
        assert second.computed["clamping"]["inputs"]["clamps"][0]["held"] == 9
        # 98 in as glued up, first 2 in from the ends, at most 12 in apart: 94 / 12 = 7.8, 8 gaps, 9 clamps.
        assert (result(second, "clamping")["count"], result(second, "clamping")["missing"]) == (9, 6)
        assert changed(work, first, label="Held").computed["clamping"]["inputs"]["clamps"][0]["held"] == 0

    def test_its_lumber_costs_what_its_species_costs(self, work):
        set_shop(work.call(), settings={"price_per_board_foot": "11", "lumber_prices": {"white oak": "8"}})
        for species, price in (("white oak", 8), ("black cherry", 11)):
            lumber = result(of(work, species=species), "lumber")
            assert float(lumber["cost"]) == price * float(lumber["buy_bf"])

    def test_sub_assemblies_are_kept_within_its_machines(self, work):
        set_shop(work.call(), settings={"planer_width": "20", "jointer_width": None})
        piece = of(work, **LONG)
        made = {stage["makes"]: stage["width_len"] for stage in result(piece, "gluing")["stages"]}
        assert made.pop("A-G") == inches(42)
        assert made and max(made.values()) <= inches(20)

    def test_a_machine_too_narrow_is_named_and_the_amount_given(self, work):
        set_shop(work.call(), settings={"jointer_width": "6"})
        narrow = result(of(work, **LONG, glue="pva"), "gluing")
        assert any(text.startswith("jointer 6") and "too narrow" in text for text in narrow["warnings"])
        set_shop(work.call(), settings={"jointer_width": None})
        plain = result(of(work, **LONG, glue="pva"), "gluing")
        assert (narrow["glue_ml"], narrow["stages"]) == (plain["glue_ml"], plain["stages"])

    def test_its_people_are_asked_to_lift_and_glue(self, work):
        # 60 x 18 x 1 1/2 in of black walnut, about 36 lb: more than the 35.4 lb of one (NIOSH), not of two.
        shelf = of(work, width="18", length="63")
        assert (result(shelf, "lifting")["people"], result(shelf, "lifting")["enough"]) == (2, False)
        long = of(work, **LONG)
        assert any("second pair of hands" in each for each in result(long, "gluing")["warnings"])
        set_shop(work.call(), settings={"people_at_hand": "2"})
        assert not any("second pair" in each for each in result(changed(work, long), "gluing")["warnings"])
        assert result(changed(work, shelf), "lifting")["enough"] is True


class TestTurns:
    def test_beginning_with_the_face_that_is_up_halves_them(self, work):
        """Counted by hand: eight stages on both faces (two flattenings, sanding, grain, re-sanding, three
        sealing coats) and one on the face. Face by face that is a turn inside each of the eight, seven
        between them and one before the last; with the face that is up first, one for each of the eight."""
        turns = result(of(work, finish_face="water-borne", sealing_coats=3, build_coats=1), "flips")
        assert (turns["as_planned"], turns["fewest"]) == (16, 8)

    def test_no_work_comes_before_what_it_waits_for(self, work):
        piece = of(work, stiffeners="yes", **LONG)
        after = {w.what: set(w.after) for w in face_works(piece.inputs)}
        done: set[str] = set()
        for step in result(piece, "flips")["steps"]:
            if not step["turn"]:
                assert after[step["what"]] <= done
                done.add(step["what"])
        assert done == set(after)


def test_all_of_it_takes_less_than_a_moment(work):
    """The least of three in processor time, so that a busy machine does not fail it."""
    piece = of(work, stiffeners="yes", **LONG)
    spans = []
    for _ in range(3):
        before = process_time()
        compute(piece.inputs)
        spans.append(process_time() - before)
    assert min(spans) < 0.15


# The grits that the route of each finish is sanded by; the job sheet and its checklist say the same.
@pytest.mark.parametrize("route, last", [("edge-glued-oil", "P180"), ("edge-glued-film", "P220")])
def test_the_sanding_ladder_ends_where_the_finish_wants_it(work, route, last):
    piece = work.accepted(**{**TOP, "route": route})
    assert piece.computed["sanding"]["result"]["ladder"][-1]["grade"] == last
    sand = next(s for s in piece.stages.all() if s.key == "sand")
    assert sand.spec["notes"][0].startswith("Every grit of the sanding ladder")
