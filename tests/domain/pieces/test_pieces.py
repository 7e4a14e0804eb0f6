"""Pieces: their inputs, what is computed from them, what a change shows, and what it may not touch."""

import pytest

from calcs.kit.errors import CalcError
from calcs.kit.units import inches, mm
from jobs.core.errors import Invalid, NotFound, RestsOnPaper, ShopError, Stale, WrongState
from jobs.core.units import Units
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.commissions.piece_commands import add_piece, change_piece, remove_piece
from jobs.domain.stages.commands import put_back_stage, reopen_stage
from jobs.domain.workshop.commands import set_shop
from jobs.log import private_texts
from jobs.log.rebuild import compare
from jobs.models import Event, Piece
from tests.shop_fixtures import INCHES, QUICK, SHORT, TOP, a_client, a_commission, a_piece, stage_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(work):
    return a_commission(work.call(), a_client(work.call()))


def change(work, piece, **asked):
    change_piece(work.call(), piece=piece.number, units=INCHES, asked=asked)
    piece.refresh_from_db()
    return piece


def test_inputs_are_kept_exactly_and_as_typed(work, commission):
    piece = a_piece(work.call(), commission, length="60 1/64", width="2' 6\"", thickness="38 mm")
    assert piece.inputs["length_len"] == inches("3841/64")
    assert piece.inputs["thickness_len"] == mm(38)
    assert piece.inputs["typed"] == {"length": "60 1/64 in", "width": "2' 6\"", "thickness": "38 mm"}
    assert piece.inputs["species"] == "black walnut"


def test_a_bare_number_is_in_the_persons_unit(work, commission):
    asked = TOP | {"length": "1500", "width": "750", "thickness": "40"}
    done = add_piece(work.call(), commission=commission.number, units=Units(length="mm"), asked=asked)
    assert done.events[0].data["inputs"]["length_len"] == mm(1500)


def test_every_calculation_keeps_inputs_result_and_source(work, commission):
    piece = a_piece(work.call(), commission)
    assert set(piece.computed) == {
        "lumber", "layout", "joinery", "gluing", "clamping", "movement", "curing", "sanding", "finishing",
        "weight", "lifting", "flips",
    }  # fmt: skip
    for kept in piece.computed.values():
        assert kept["inputs"] and kept["result"] and kept["source"]


def test_figures_agree_with_the_units_they_are_given_in(work, commission):
    """60 x 30 in are 12.5 square feet of face: 1.16 m² (1 in = 25.4 mm by definition)."""
    piece = a_piece(work.call(), commission)
    assert piece.computed["finishing"]["result"]["face_m2"] == "1.16"


def test_without_sizes_what_needs_them_is_not_computed(work, commission):
    piece = a_piece(work.call(), commission, route="free-list", label="Two stools", stages="Turn legs\nSeat")
    assert set(piece.computed) == {"curing"}
    assert [s.key for s in piece.stages.all()] == [
        "survey", "own-1", "own-2", "final-check", "wrap", "deliver", "paid", "close",
    ]  # fmt: skip
    assert private_texts.read(stage_of(piece, "own-2").title_ref) == "Seat"


@pytest.mark.parametrize(
    "asked, field",
    [
        ({"length": "-3"}, "length"),
        ({"length": "0"}, "length"),
        ({"length": "1 mile"}, "length"),
        ({"length": "999999999999"}, "length"),
        ({"width": "NaN"}, "width"),
        ({"thickness": "20"}, "thickness"),
        ({"species": "unobtainium"}, "species"),
        ({"species": ""}, "species"),
        ({"quantity": "0"}, "quantity"),
        ({"quantity": "1.5"}, "quantity"),
        ({"quantity": 101}, "quantity"),
        ({"sealing_coats": 7}, "sealing_coats"),
        ({"build_coats": -1}, "build_coats"),
        ({"glue": "spit"}, "glue"),
        ({"finish_face": "tar"}, "finish_face"),
        ({"finish_under": "pva"}, "finish_under"),
        ({"edge_profile": "wavy"}, "edge_profile"),
        ({"stiffeners": "perhaps"}, "stiffeners"),
        ({"waste_pct": "101"}, "waste_pct"),
        ({"colour": "red"}, "colour"),
        ({"label": " "}, "label"),
        ({"label": "x" * 201}, "label"),
        ({"label": "a\x00b"}, "label"),
    ],
)
def test_what_makes_no_sense_is_refused_by_field_and_nothing_is_kept(work, commission, asked, field):
    before = Event.objects.count()
    with pytest.raises((ShopError, CalcError)) as refused:
        add_piece(work.call(), commission=commission.number, units=INCHES, asked=TOP | asked)
    assert refused.value.field == field
    assert refused.value.allowed
    assert Event.objects.count() == before and not Piece.objects.exists()


@pytest.mark.parametrize("missing", ["length", "width", "thickness", "species"])
def test_what_the_route_needs_has_to_be_given(work, commission, missing):
    asked = {k: v for k, v in TOP.items() if k != missing}
    with pytest.raises(Invalid) as refused:
        add_piece(work.call(), commission=commission.number, units=INCHES, asked=asked)
    assert refused.value.field == missing


@pytest.mark.parametrize("stages", [[], " \n ", ["x"] * 61, ["x" * 121]])
def test_an_own_list_has_a_few_short_titles(work, commission, stages):
    asked = {"route": "free-list", "label": "Stool", "stages": stages}
    with pytest.raises(Invalid) as refused:
        add_piece(work.call(), commission=commission.number, units=INCHES, asked=asked)
    assert refused.value.field == "stages"


def test_an_unknown_route_is_not_found(work, commission):
    with pytest.raises(NotFound, match="route"):
        add_piece(work.call(), commission=commission.number, units=INCHES, asked={"route": "x", "label": "x"})


class TestChange:
    def test_it_shows_which_figures_changed(self, work, commission):
        piece = a_piece(work.call(), commission)
        change(work, piece, length="72")
        assert piece.revision == 2 and piece.inputs["length_len"] == inches(72)
        changed = {(c["calculation"], c["figure"]): (c["before"], c["after"]) for c in piece.changed}
        # 60 x 30 in = 1.16 m², 72 x 30 in = 1.39 m² of face.
        assert changed[("finishing", "face_m2")] == ("1.16", "1.39")
        assert not any(calculation in ("movement", "curing") for calculation, _ in changed)

    def test_what_is_not_given_stays(self, work, commission):
        piece = a_piece(work.call(), commission, edge_profile="bullnose", waste_pct="30")
        before = piece.inputs
        change(work, piece, label="Renamed")
        assert piece.inputs == before and piece.changed == []
        assert private_texts.read(piece.label_ref) == "Renamed"

    def test_settings_of_the_shop_reach_a_piece_when_it_is_changed(self, work, commission):
        piece = a_piece(work.call(), commission)
        set_shop(work.call(), settings={"price_per_board_foot": "10"})
        piece.refresh_from_db()
        assert piece.computed["lumber"]["result"]["cost"] is None
        change(work, piece)
        assert {c["figure"] for c in piece.changed} == {"cost"}

    def test_the_route_follows(self, work, commission):
        piece = a_piece(work.call(), commission, **QUICK)
        change(work, piece, stiffeners="yes", build_coats=3)
        keys = [s.key for s in piece.stages.all()]
        assert {"stiffeners", "refit", "build-3", "scuff-build-3"} <= set(keys)
        assert compare() == []

    def test_another_finish_brings_its_own_coats(self, work, commission):
        piece = a_piece(work.call(), commission, **QUICK)
        assert (piece.inputs["sealing_coats"], piece.inputs["build_coats"]) == (1, 1)
        change(work, piece, finish_face="water-borne", finish_under="water-borne")
        assert (piece.inputs["sealing_coats"], piece.inputs["build_coats"]) != (1, 1)

    def test_stages_that_have_begun_keep_what_they_hold(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey", "glue-up")
        before = stage_of(piece, "glue-up").measured
        change(work, piece, stiffeners="yes")
        assert stage_of(piece, "glue-up").measured == before
        assert stage_of(piece, "glue-up").step == "waiting"

    def test_a_change_that_would_drop_a_begun_stage_is_refused(self, work):
        piece = work.accepted(**SHORT, stiffeners=True)
        work.do_until(piece, "stiffeners")
        with pytest.raises(WrongState, match="drop or move begun stages") as refused:
            change(work, piece, stiffeners="no")
        assert refused.value.extra["stages"] == ["stiffeners"]

    def test_a_change_that_would_come_before_a_begun_stage_is_refused(self, work):
        piece = work.accepted(**SHORT)
        work.do_until(piece, "seal-1")
        with pytest.raises(WrongState) as refused:
            change(work, piece, stiffeners="yes")
        assert refused.value.extra["stages"] == ["seal-1"]

    @pytest.mark.parametrize(
        "name, value",
        [
            ("widest_strip", "4"), ("board_length", "100"), ("trim_width", "1/2"), ("board_width", "9"),
            ("quantity", "2"), ("sealing_coats", "4"), ("cut", "quartersawn"), ("mark", "before finishing"),
            ("glue", "epoxy"), ("finish_face", "shellac"), ("finish_under", "shellac"),
            ("stiffeners", "yes"), ("waste_pct", "40"),
        ],
    )  # fmt: skip
    def test_what_is_emptied_is_as_if_it_had_never_been_given(self, work, commission, name, value):
        piece = a_piece(work.call(), commission)
        untouched, stages = piece.inputs, list(piece.stages.values_list("key", flat=True))
        assert change(work, piece, **{name: value}).inputs != untouched
        piece = change(work, piece, **{name: ""})
        assert piece.inputs == untouched
        assert list(piece.stages.values_list("key", flat=True)) == stages
        assert compare() == []

    @pytest.mark.parametrize("name", ["length", "width", "thickness", "species", "label", "route"])
    def test_what_a_piece_needs_is_not_emptied(self, work, commission, name):
        piece = a_piece(work.call(), commission)
        with pytest.raises(Invalid, match="needs a") as refused:
            change(work, piece, **{name: ""})
        assert refused.value.field == name
        assert Piece.objects.get().inputs == piece.inputs

    def test_an_own_list_is_not_emptied(self, work, commission):
        piece = a_piece(work.call(), commission, route="free-list", label="Stool", stages=["Legs"])
        with pytest.raises(Invalid, match="needs stages"):
            change(work, piece, stages="")

    def test_another_route_asks_for_what_it_needs(self, work, commission):
        piece = a_piece(work.call(), commission, route="free-list", label="Stool", stages=["Legs"])
        with pytest.raises(Invalid, match="needs a length"):
            change(work, piece, route="edge-glued-film")

    def test_an_own_list_can_grow(self, work, commission):
        piece = a_piece(work.call(), commission, route="free-list", label="Stool", stages=["Legs"])
        change(work, piece, stages=["Legs", "Seat"])
        change(work, piece, label="Stool, low")
        assert [private_texts.read(stage_of(piece, f"own-{n}").title_ref) for n in (1, 2)] == ["Legs", "Seat"]

    def test_what_somebody_saw_has_to_be_the_present_piece(self, work, commission):
        piece = a_piece(work.call(), commission)
        seen = piece.version
        change(work, piece, length="72")
        with pytest.raises(Stale):
            change_piece(work.call(seen=seen), piece=piece.number, units=INCHES, asked={"length": "70"})

    def test_an_issued_paper_refuses_it(self, work):
        from tests.shop_fixtures import issue_checklist

        piece = work.accepted(**SHORT)
        work.do_until(piece, "wrap")
        issue_checklist(work.call(), commission=piece.commission.number)
        with pytest.raises(RestsOnPaper, match="D2026-0001 rests on"):
            change(work, piece, length="72")
        with pytest.raises(RestsOnPaper, match="D2026-0001 rests on"):
            a_piece(work.call(), piece.commission)


class TestRemove:
    def test_it_is_gone_with_its_stages_and_its_number_is_not_used_again(self, work, commission):
        a_piece(work.call(), commission)
        second = a_piece(work.call(), commission)
        remove_piece(work.call(), piece=second.number)
        third = a_piece(work.call(), commission)
        assert [p.number for p in commission.pieces.order_by("number")] == ["2026-001-1", "2026-001-3"]
        assert third.number == "2026-001-3"
        assert compare() == []

    def test_with_waits_that_are_void_it_can_go(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey", "glue-up")
        for stage in ("glue-up", "survey"):
            reopen_stage(work.call(), piece=piece.number, stage=stage, reason="not this piece")
            put_back_stage(work.call(), piece=piece.number, stage=stage)
        remove_piece(work.call(), piece=piece.number)
        assert compare() == []

    def test_what_has_been_begun_stays(self, work):
        piece = work.accepted(**SHORT)
        work.start(piece, "survey")
        with pytest.raises(WrongState, match="1 stages of piece"):
            remove_piece(work.call(), piece=piece.number)

    def test_of_a_cancelled_commission_nothing_is_removed(self, work, commission):
        piece = a_piece(work.call(), commission)
        move_commission(work.call(), commission=commission.number, to="cancelled", reason="house sold")
        with pytest.raises(WrongState):
            remove_piece(work.call(), piece=piece.number)


def test_a_commission_holds_only_so_many_pieces(work, commission, monkeypatch):
    monkeypatch.setattr("jobs.domain.commissions.piece_commands.MOST_PIECES", 2)
    a_piece(work.call(), commission)
    a_piece(work.call(), commission)
    with pytest.raises(Invalid, match="too many pieces"):
        a_piece(work.call(), commission)


def test_to_a_ready_commission_nothing_is_added(work):
    piece = work.accepted(**SHORT)
    work.do_until(piece, "wrap")
    with pytest.raises(WrongState, match="is ready: nothing is added"):
        a_piece(work.call(), piece.commission)
