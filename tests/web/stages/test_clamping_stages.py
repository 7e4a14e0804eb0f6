"""A glue-up in several clampings has the stages of each on the route, in the calculated order."""

import re

import pytest

from jobs.domain import lookups
from jobs.domain.clients.portal_wording import ahead_words, done_words
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.stages.commands import put_back_stage, start_stage
from jobs.domain.stages.route_edits import add_stage
from jobs.domain.workshop.commands import set_shop
from jobs.log.rebuild import compare
from jobs.models import Person, Piece, Stage, Wait
from tests.api.client import Api
from tests.shop_fixtures import INCHES, Work, stage_of
from tests.web.pages import Pages
from tests.web.stages.test_several_clampings import WIDE

BLOCK = ("dry-fit", "glue-up", "scrape", "clamps-off", "cure-off")


@pytest.fixture
def wide(work: Work) -> Piece:
    """Return a top 96 x 42 x 1 3/4 in whose seven strips the usual glue joins in three clampings."""
    set_shop(work.call(), units=INCHES, settings={"planer_width": "20"})
    return work.accepted(**WIDE)


def after(piece: Piece) -> dict[str, list[str]]:
    return {stage.key: stage.spec["after"] for stage in piece.stages.order_by("position")}


def test_each_clamping_has_its_stages_in_the_calculated_order(wide: Piece):
    found = after(wide)
    # A+B+C and D+E+F wait only for the joinery; the last joins what both made, planed and jointed.
    assert found["dry-fit-1"] == found["dry-fit-2"] == ["joinery"]
    assert found["plane-parts-3"] == ["scrape-1", "cure-off-1", "scrape-2", "cure-off-2"]
    assert (found["joint-parts-3"], found["dry-fit"]) == (["plane-parts-3"], ["joint-parts-3"])
    assert found["rough-flatten"] == ["scrape", "cure-off"]
    assert [stage_of(wide, f"glue-up{n}").spec["title"] for n in ("-1", "-2", "")] == [
        "Glue-up, 1 of 3 (A-C)", "Glue-up, 2 of 3 (D-F)", "Glue-up, 3 of 3 (A-G)",
    ]  # fmt: skip
    assert stage_of(wide, "glue-up").spec["notes"][0] == "Joins A-C + D-F + G; makes A-G."
    fresh = {
        key: [g["of"] for g in stage_of(wide, key).spec["gates"] if g["key"] == "edges_fresh"]
        for key in ("glue-up-1", "glue-up-2", "glue-up")
    }
    assert fresh == {"glue-up-1": ["rip"], "glue-up-2": ["rip"], "glue-up": ["joint-parts-3"]}


def test_each_has_its_own_waits_and_the_whole_route_can_be_worked(work: Work, wide: Piece):
    work.do_until(wide, "joinery")
    work.do(wide, *(f"{key}-1" for key in ("dry-fit", "glue-up")))
    running = {(w.kind, w.stage.key) for w in Wait.objects.filter(step=Wait.Step.RUNNING)}
    assert running == {("scrape", "glue-up-1"), ("unclamp", "glue-up-1")}
    work.do_until(wide, "final-flatten")
    assert {s.key for s in wide.stages.filter(step=Stage.Step.DONE)} >= {
        f"{key}{n}" for key in BLOCK for n in ("-1", "-2", "")
    }
    (surface,) = Wait.objects.filter(kind="surface")
    assert surface.since == stage_of(wide, "glue-up").finished_at, "counted from the last clamping"
    assert compare() == []


def test_it_follows_the_glue_until_it_is_begun(work: Work, wide: Piece):
    change_piece(work.call(), piece=wide.number, units=INCHES, asked={"glue": "epoxy"})
    assert "glue-up-1" not in after(wide) and after(wide)["dry-fit"] == ["joinery"]
    back = change_piece(work.call(), piece=wide.number, units=INCHES, asked={"glue": "pva"})
    assert "glue-up-1" in after(wide) and back.notices == []
    work.do_until(wide, "joinery")
    work.do(wide, "dry-fit-1")
    stays = change_piece(work.call(), piece=wide.number, units=INCHES, asked={"glue": "epoxy"})
    assert "glue-up-1" in after(wide)
    assert stays.notices == [
        f"one clamping is computed for {wide.number} now; its route stays as it was laid, change it by hand"
    ]


def test_put_back_what_is_begun_and_saving_lays_it_anew(work: Work):
    piece = work.accepted(**WIDE, glue="epoxy")
    work.do_until(piece, "joinery")
    start_stage(work.call(), piece=piece.number, stage="dry-fit", units=INCHES)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"glue": "pva"})
    assert "glue-up-1" not in after(piece)
    put_back_stage(work.call(), piece=piece.number, stage="dry-fit")
    assert change_piece(work.call(), piece=piece.number, units=INCHES, asked={}).notices == []
    assert "glue-up-1" in after(piece)


def test_a_route_changed_by_hand_stays(work: Work, wide: Piece):
    add_stage(work.call(), piece=wide.number, title="Fill the knots", after=["sand"])
    change_piece(work.call(), piece=wide.number, units=INCHES, asked={"glue": "epoxy"})
    assert lookups.piece(wide.number).inputs["glue"] == "epoxy" and "glue-up-1" in after(wide)


def test_the_screen_at_the_clamps_shows_this_clamping_alone(work: Work, wide: Piece, pages: Pages):
    work.do_until(wide, "joinery")
    at = f"/pieces/{wide.number}/stages/glue-up-1/now/"
    page = pages.get(at)
    assert re.findall(r'data-joint="([^"]+)"', page.text) == ["A-B", "B-C"]
    assert "1 A B C now 2 D E F later 3 A–C D–F G later" in page.words
    stages = wide.computed["gluing"]["result"]["stages"]
    assert (
        f"{stages[0]['glue_ml']} mL of glue" in page.words or "fl oz of glue for these joints" in page.words
    )
    last = pages.get(f"/pieces/{wide.number}/stages/glue-up/now/")
    assert re.findall(r'data-joint="([^"]+)"', last.text) == ["C-D", "F-G"], "where strips of two parts meet"


def test_the_api_names_the_clamping(wide: Piece, owner: Person):
    stages = {s["key"]: s for s in Api(owner).get(f"pieces/{wide.number}/").data["stages"]}
    assert stages["glue-up-2"]["clamping"] == {
        "number": 2, "of": 3, "joins": ["D", "E", "F"], "makes": "D-F", "planed": True,
    }  # fmt: skip
    assert stages["joinery"]["clamping"] is None and stages["glue-up"]["clampings"] == []


def test_the_client_hears_of_parts_until_the_last(wide: Piece):
    assert done_words(stage_of(wide, "glue-up-1")) == "A part of the top is glued up"
    assert done_words(stage_of(wide, "glue-up")) == "The top is glued up"
    assert ahead_words(stage_of(wide, "scrape-1")) == ""


def test_a_planer_too_narrow_leaves_the_planing_out(work: Work, wide: Piece):
    set_shop(work.call(), units=INCHES, settings={"planer_width": "12"})
    change_piece(work.call(), piece=wide.number, units=INCHES, asked={})
    laid = after(wide)
    assert not [key for key in laid if key.startswith("plane-parts")]
    assert laid["joint-parts-3"] == ["scrape-1", "cure-off-1", "scrape-2", "cure-off-2"]
