"""Clamped always saves with its moment; bench, stage and API ask for what was left open."""

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from jobs.core.errors import GateShut
from jobs.domain.stages.glue_today import closings_of
from jobs.domain.stages.left_open import add_measurement
from jobs.log.rebuild import compare
from jobs.models import Event, Person, Piece, Stage, Wait
from tests.api.client import Api
from tests.shop_fixtures import INCHES, TOP, Work, good, stage_of
from tests.web.conftest import at_the_glue
from tests.web.pages import Pages


@pytest.fixture
def glue_up(work: Work, slow_piece: Piece) -> str:
    """Return the page of a glue-up that has been under way for twenty minutes."""
    at_the_glue(work, slow_piece)
    work.now = timezone.now() - timedelta(minutes=20)
    work.start(slow_piece, "glue-up", measured=good(slow_piece, "glue-up", "start"))
    return f"/pieces/{slow_piece.number}/stages/glue-up/"


def tapped(pages: Pages, glue_up: str, *, minutes_ago: int, **more: str) -> str:
    """Press Clamped on the full screen, as its script does; return the moment sent."""
    at = (timezone.now() - timedelta(minutes=minutes_ago)).isoformat()
    page = pages.send(f"{glue_up}now/", {"when": at, **more}, to="/clamped/")
    assert page.answer.headers["Location"] == glue_up
    return at


def test_an_empty_lot_holds_nothing_up_and_the_waits_run_from_the_tap(
    pages: Pages, slow_piece: Piece, glue_up: str
):
    at = tapped(pages, glue_up, minutes_ago=9)
    finished = Event.objects.get(kind="stage_finished", body__contains='"glue-up"')
    assert finished.occurred_at.isoformat() == at
    running = Wait.objects.filter(stage__piece=slow_piece, stage__key="glue-up", step=Wait.Step.RUNNING)
    assert {w.kind for w in running} == {"scrape", "unclamp"}
    assert {w.since.isoformat() for w in running} == {at}


def test_bench_and_stage_say_what_is_missing_until_it_is_said(pages: Pages, slow_piece: Piece, glue_up: str):
    tapped(pages, glue_up, minutes_ago=1)
    bench = pages.get("/")
    assert "Fill in: glue lot" in bench.words and "still asked" in bench.words
    assert f'href="{glue_up}"' in bench.text
    assert "Fill in: glue lot, Desk top" in pages.get(glue_up).words
    told = pages.send(glue_up, {"value": "L-17"}, to="/say/glue_lot/")
    assert told.answer.headers["Location"].endswith("/stages/scrape/")  # which opens soon
    assert stage_of(slow_piece, "glue-up").measured["glue_lot"] == {"code": "L-17"}
    for page in (pages.get("/"), pages.get(glue_up)):
        assert "Fill in: glue lot" not in page.words
    assert (
        "Glue lot said afterwards, L-17"
        in pages.get(f"/commissions/{slow_piece.commission.number}/history/?all").words
    )


def test_without_a_script_one_button_saves_and_nothing_is_typed(
    pages: Pages, slow_piece: Piece, glue_up: str
):
    page = pages.get(f"{glue_up}now/")
    assert set(page.form("/clamped/").typed) == {
        "csrfmiddlewaretoken", "form_key", "form_seen", "form_at", "when", "glue_on", "joints",
    }  # fmt: skip
    pages.send_form(f"{glue_up}now/", page.form("/clamped/"))
    assert stage_of(slow_piece, "glue-up").step == Stage.Step.WAITING


def test_a_phone_whose_clock_is_wrong_is_set_right_by_the_shops(
    pages: Pages, slow_piece: Piece, glue_up: str
):
    """Its clock is 40 minutes ahead: a tap of 39 minutes in the future was a minute ago."""
    now, ahead = timezone.now(), timedelta(minutes=40)
    told = {
        "when": (now + ahead - timedelta(minutes=1)).isoformat(),
        "glue_on": (now + ahead - timedelta(minutes=4)).isoformat(),
        "joints": json.dumps([["A-B", (now + ahead - timedelta(minutes=2)).isoformat()]]),
    }
    headers = {"Tap-By": str(pages.person.id if pages.person else ""), "Tap-Later": "yes"}
    headers["Device-Time"] = (now + ahead).isoformat()
    form = pages.get(f"{glue_up}now/").form("/clamped/")
    done = pages.send_form(f"{glue_up}now/", form, told, status=200, **headers)
    assert "The times of this glue-up were set by the shop's clock." in done.answer.json()["notices"]
    found = stage_of(slow_piece, "glue-up")
    assert found.finished_at and abs(found.finished_at - (now - timedelta(minutes=1))) < timedelta(seconds=5)
    closed = closings_of(found.closings)
    assert closed and [one["after_s"] for one in closed["joints"]] == [120]


def test_the_stage_shows_each_joint_and_what_to_do_about_a_late_one(
    pages: Pages, slow_piece: Piece, glue_up: str
):
    on = timezone.now() - timedelta(minutes=15)
    joints = [
        ["A-B", (on + timedelta(seconds=134)).isoformat()],
        ["B-C", (on + timedelta(minutes=14)).isoformat()],
    ]
    tapped(pages, glue_up, minutes_ago=0, glue_on=on.isoformat(), joints=json.dumps(joints))
    words = pages.get(glue_up).words
    assert "A–B 2:14 B–C" in words and "past the open time 14:00" in words
    assert words.count("rip the joint") == 2, "once told, and beside the joint"
    assert "rip the joint" in pages.get(glue_up).words


def test_the_start_leads_to_the_screen(pages: Pages, work: Work, slow_piece: Piece):
    at_the_glue(work, slow_piece)
    at = f"/pieces/{slow_piece.number}/stages/glue-up/"
    typed = {f"measured.{key}": value for key, value in good(slow_piece, "glue-up", "start").items()}
    form = pages.get(at).form("/start/")
    reasons = {"override.clampings": "two of us"} if "override.clampings" in form.typed else {}
    page = pages.send_form(at, form, typed | reasons)
    assert page.answer.headers["Location"] == f"{at}now/"
    assert "First glue on" in pages.get(f"{at}now/").answer.content.decode()


def test_joints_that_do_not_fit_hold_nothing_up_and_are_told(pages: Pages, slow_piece: Piece, glue_up: str):
    at = timezone.now().isoformat()
    tapped(pages, glue_up, minutes_ago=1, glue_on=at, joints="[1, 2")
    found = stage_of(slow_piece, "glue-up")
    assert (found.step, found.closings) == (Stage.Step.WAITING, {})
    assert "The times of the joints are not kept" in pages.get(glue_up).words


def test_a_lot_that_cannot_be_read_is_named_and_asked_again(pages: Pages, slow_piece: Piece, glue_up: str):
    pages.send(glue_up, {"measured.glue_lot": "L§17"}, to="/finish/")
    assert stage_of(slow_piece, "glue-up").step == Stage.Step.WAITING
    page = pages.get(glue_up)
    assert "Glue lot: L§17." in page.words and "letters, digits" in page.words
    assert "Fill in: glue lot, Desk top" in page.words


def test_nobody_knows_the_lot(pages: Pages, slow_piece: Piece, glue_up: str):
    tapped(pages, glue_up, minutes_ago=1)
    refused = pages.send(glue_up, to="/say/glue_lot/", status=409)
    assert "Glue lot: not given. Allowed: a lot number." in refused.errors["say_glue_lot_value"]
    why = {"override": "the label is gone"}
    pages.send_form(glue_up, refused.form("/say/glue_lot/"), why)
    assert "Fill in: glue lot" not in pages.get(glue_up).words
    assert "glue_lot" in stage_of(slow_piece, "glue-up").overrides


def test_what_somebody_changed_meanwhile_does_not_hold_clamped_up(
    pages: Pages, work: Work, slow_piece: Piece, glue_up: str
):
    form = pages.get(f"{glue_up}now/").form("/clamped/")
    pages.send(f"/pieces/{slow_piece.number}/stages/glue-up/", to="/pause/")
    pages.send_form(glue_up, form, {"when": timezone.now().isoformat()})
    assert stage_of(slow_piece, "glue-up").step == Stage.Step.WAITING


class TestOverTheApi:
    @pytest.fixture
    def api(self, owner: Person) -> Api:
        return Api(owner)

    def test_finishing_saves_and_the_answer_names_what_is_asked(
        self, api: Api, slow_piece: Piece, glue_up: str
    ):
        at = (timezone.now() - timedelta(minutes=3)).isoformat()
        path = f"pieces/{slow_piece.number}/stages/glue-up/"
        done = api.post(f"{path}finish/", {"occurred_at": at})
        assert done.status_code == 200 and done.data["notices"] == ["Glue lot is still asked"]
        (stage,) = [s for s in done.data["piece"]["stages"] if s["key"] == "glue-up"]
        assert (stage["step"], stage["still_asked"]) == ("waiting", ["glue_lot"])
        (card,) = api.get("bench/").data["still_asked"]
        assert card["gates"] == [{"key": "glue_lot", "title": "Glue lot"}]
        shut = api.post(f"{path}measure/", {"gate": "glue_lot"})
        assert (shut.status_code, shut.data["code"]) == (409, "gate-shut")
        wrong = api.post(f"{path}measure/", {"gate": "flatness", "value": "1"})
        assert (wrong.status_code, wrong.data["errors"][0]["pointer"]) == (422, "#/gate")
        said = api.post(f"{path}measure/", {"gate": "glue_lot", "value": "L-17"})
        assert said.status_code == 200 and api.get("bench/").data["still_asked"] == []
        twice = api.post(f"{path}measure/", {"gate": "glue_lot", "value": "L-18"})
        assert (twice.status_code, twice.data["code"]) == (409, "already-done")

    def test_joints_closed_one_by_one_are_kept_and_a_late_one_is_told(
        self, api: Api, slow_piece: Piece, glue_up: str
    ):
        """Nobody measured the air, so the open time is that of the shop's usual air, as computed."""
        path, at = f"pieces/{slow_piece.number}/stages/glue-up/", timezone.now() - timedelta(minutes=2)
        glue_on = at - timedelta(minutes=8)
        open_s = slow_piece.computed["gluing"]["result"]["open_s"]
        spent = {"A-B": open_s - 10, "B-C": open_s + 72}
        joints = [{"joint": j, "at": (glue_on + timedelta(seconds=s)).isoformat()} for j, s in spent.items()]
        body = {"occurred_at": at.isoformat(), "glue_on": glue_on.isoformat(), "joints": joints}
        done = api.post(f"{path}finish/", body)
        assert done.status_code == 200, done.data
        assert done.data["notices"][1].startswith("B-C was closed 1 min 12 s past the open time. Open it")
        (stage,) = [s for s in done.data["piece"]["stages"] if s["key"] == "glue-up"]
        closed = stage["closings"]["joints"]
        assert [(j["joint"], j["after_s"], j["late_s"]) for j in closed] == [
            ("A-B", open_s - 10, 0), ("B-C", open_s + 72, 72),
        ]  # fmt: skip
        assert closed[0]["to_do"] == "" and "rip the joint" in closed[1]["to_do"]
        assert compare() == []

    @pytest.mark.parametrize(
        "wrong, pointer",
        [
            ({"joints": [{"joint": "A-B", "at": "2026-11-02T10:00:00Z"}]}, "#/joints"),
            ({"glue_on": "2999-01-01T00:00:00Z"}, "#/glue_on"),
            ({"joints": [{"joint": "A-B", "at": "10:00"}]}, "#/joints/0/at"),
        ],
    )
    def test_joints_that_do_not_fit_are_refused_by_name(
        self, api: Api, slow_piece: Piece, glue_up: str, wrong: dict[str, object], pointer: str
    ):
        refused = api.post(f"pieces/{slow_piece.number}/stages/glue-up/finish/", wrong)
        assert (refused.status_code, refused.data["errors"][0]["pointer"]) == (422, pointer)
        assert stage_of(slow_piece, "glue-up").step == Stage.Step.UNDER_WAY

    def test_what_cannot_be_read_is_refused_and_nothing_is_written(
        self, api: Api, slow_piece: Piece, glue_up: str
    ):
        path = f"pieces/{slow_piece.number}/stages/glue-up/finish/"
        refused = api.post(path, {"measured": {"glue_lot": "L§17"}})
        assert (refused.status_code, refused.data["errors"][0]["pointer"]) == (422, "#/measured/glue_lot")
        assert stage_of(slow_piece, "glue-up").step == Stage.Step.UNDER_WAY


PRESS = """
key = "press"
title = "Pressed"
needs = ["length", "width", "thickness", "species", "glue"]

[[stage]]
key = "press"
title = "Press"
place = "clamps"
calcs = ["gluing"]
gates = [
  { key = "glue_lot", at = "finish", unit = "code", title = "Glue lot" },
  { key = "paid_up", at = "finish", rule = "paid-up", title = "Nothing owed" },
  { key = "guard_on", at = "finish", unit = "yes", title = "Guard is back on", safety = true },
]
waits = [{ kind = "unclamp", title = "Glue holding", clock = "glue.unclamp", holds = ["open"] }]

[[stage]]
key = "open"
title = "Open the press"
after = ["press"]
place = "clamps"
"""


def test_no_gate_holds_clamped_up_and_safety_is_asked_first(
    work: Work, pages: Pages, settings: Any, tmp_path: Path
):
    (tmp_path / "press.toml").write_text(PRESS)
    settings.ROUTES_DIR = tmp_path
    piece = work.accepted(**TOP | {"route": "press", "glue": "pva"})
    work.start(piece, "press")
    work.go(days=8)  # too long to count the minutes of work
    done = work.finish(piece, "press")
    assert done.notices == [
        "it was started too long ago to count the minutes of work",
        "Guard is back on is still asked. It is a matter of safety: answer it now",
        "Glue lot is still asked",
        "Nothing owed: no invoice yet, allowed Nothing owed. It is still asked, with the reason",
    ]
    assert stage_of(piece, "press").minutes is None
    left = Event.objects.get(kind="gates_left_open").data
    assert left["gates"] == ["glue_lot", "paid_up", "guard_on"]
    at = f"/pieces/{piece.number}/stages/press/"
    page = pages.get(at)
    asked = ["Fill in: guard is back on", "Fill in: glue lot", "Fill in: nothing owed"]
    assert sorted(asked, key=page.words.index) == asked
    pages.send(at, {"value": "yes"}, to="/say/guard_on/")
    refused = pages.send(at, {"value": "yes"}, to="/say/paid_up/", status=409)
    pages.send_form(at, refused.form("/say/paid_up/"), {"override": "a gift to the school"})
    pages.send(at, {"value": "L-17"}, to="/say/glue_lot/")
    assert "still asked" not in pages.get("/").words and "Fill in:" not in pages.get(at).words
    assert compare() == []


def test_what_is_known_before_the_clamps_still_holds_the_start(work: Work, slow_piece: Piece):
    at_the_glue(work, slow_piece)
    with pytest.raises(GateShut, match="Shop temperature"):
        work.start(slow_piece, "glue-up", measured={"wood_and_glue_warm": "yes"})


def test_other_stages_still_ask_before_they_are_finished(work: Work, slow_piece: Piece):
    work.do_until(slow_piece, "rough-mill")
    work.wait_for(slow_piece, "final-mill")
    work.start(slow_piece, "final-mill", measured=good(slow_piece, "final-mill", "start"))
    with pytest.raises(GateShut, match="Thickness after milling: not given"):
        work.finish(slow_piece, "final-mill")


def test_a_measurement_outside_its_limits_is_asked_again_with_the_reason(work: Work):
    piece = work.accepted(**TOP | {"width": "24"}, route="edge-glued-breadboard")
    work.do_until(piece, "breadboard-fit")
    work.wait_for(piece, "breadboard-glue")
    work.start(piece, "breadboard-glue", measured=good(piece, "breadboard-glue", "start"))
    done = work.finish(piece, "breadboard-glue", measured={"glue_middle_only": "no", "glue_lot": "L-17"})
    assert done.notices[0].startswith("Glue in the middle few inches only: no, allowed yes")
    say = {"piece": piece.number, "stage": "breadboard-glue", "gate": "glue_middle_only", "units": INCHES}
    with pytest.raises(GateShut):
        add_measurement(work.call(), **say, value="no")
    add_measurement(work.call(), **say, value="no", override="the tongue took glue; slots stay free")
    assert stage_of(piece, "breadboard-glue").measured["glue_middle_only"] == {"yes": False}
    assert "glue_middle_only" in stage_of(piece, "breadboard-glue").overrides
    assert compare() == [], "state is the fold of the log"
