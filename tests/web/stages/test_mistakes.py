"""Pauses, skips, redoing and corrections at their pages; a suspect joint; what reminders say."""

from datetime import timedelta

from django.utils import timezone

from calcs.kit.units import inches
from jobs.domain.stages.rework import correct_measurement
from jobs.log.projectors import Turn, refill
from jobs.models import Piece, Stage, Wait
from tests.shop_fixtures import INCHES, Work, stage_of
from tests.web.conftest import in_clamps
from tests.web.pages import Pages, head


def url(piece: Piece, key: str) -> str:
    return f"/pieces/{piece.number}/stages/{key}/"


def test_a_pause_is_marked_where_the_work_is_shown(pages: Pages, work: Work, piece: Piece):
    work.now = timezone.now() - timedelta(minutes=30)
    work.start(piece, "survey")
    assert "30 min so far" in pages.get(url(piece, "survey")).words
    pages.send(url(piece, "survey"), to="/pause/")
    paused = pages.get(url(piece, "survey")).words
    assert "paused after 30 min" in paused
    assert "paused" in pages.get("/").words and "Resume" in pages.get("/").words
    commission = f"/commissions/{piece.commission.number}/"
    assert "Resume" in pages.get(commission).words
    assert "Site survey and drawing approved: paused" in pages.get(f"{commission}history/?all").words
    pages.send(url(piece, "survey"), to="/resume/")
    assert "Paused" not in pages.get(url(piece, "survey")).words
    assert stage_of(piece, "survey").resumed_at is not None


def test_a_stage_is_skipped_with_a_reason_and_put_back(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "rip")
    page = pages.send(url(piece, "layout"), to="/skip/", status=422)
    assert "Skipping needs a reason" in page.errors["skip_reason"]
    pages.send(url(piece, "layout"), {"reason": "one wide board"}, to="/skip/")
    page = pages.get(url(piece, "layout"))
    assert stage_of(piece, "layout").step == "skipped" and "one wide board" in page.words
    pages.send_form("", page.form("/put-back/"))
    assert stage_of(piece, "layout").step == "planned"


def test_what_moves_the_commission_offers_no_skip(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "final-check")
    assert not [f for f in pages.get(url(piece, "wrap")).forms if f.action.endswith("/skip/")]


# A re-ripped joint costs 3/16 in of width (common practice, no source): two cost 3/8 in.
def test_redone_work_stays_on_record_and_says_what_is_out_of_reach(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "dry-fit")
    page = pages.send(url(piece, "joinery"), {"joints_ripped": "70"}, to="/redo/", status=422)
    assert "0 to 60" in page.errors["redo_joints_ripped"]
    typed = {"reason": "two joints opened", "joints_ripped": "2"}
    answer = pages.send(url(piece, "joinery"), typed, to="/redo/").answer
    words = pages.get(answer.url).words
    assert "out of reach" in words and "attempt 2" in words
    assert "Earlier attempts" in words and "two joints opened" in words and "10 min" in words
    piece.refresh_from_db()
    assert piece.inputs["lost_width_len"] == inches("3/8")
    told = pages.get(f"/commissions/{piece.commission.number}/history/?all").words
    told += pages.get(f"/commissions/{piece.commission.number}/piece/").words
    assert "Planned again with it: Timed dry fit" in told
    assert "lost to ripped joints" in told.lower() and "to be done again" in told


def test_a_measurement_is_put_right_within_its_limits_or_with_a_reason(
    pages: Pages, work: Work, piece: Piece
):
    work.do_until(piece, "stock")
    where, to = url(piece, "stock"), "/correct/moisture_mean/"
    before = head()
    page = pages.send(where, {"value": "19", "reason": "meter set to oak"}, to=to, status=409)
    assert "Allowed: 4 % to 14 %" in page.errors["correct_moisture_mean_value"] and head() == before
    form = page.form(to)
    assert form.typed["value"] == "19" and form.typed["reason"] == "meter set to oak"
    pages.send_form("", form, {"override": "it rests a week more"})
    assert "19 %" in pages.get(where).words
    told = pages.get(f"/commissions/{piece.commission.number}/history/?all").words
    assert "corrected, 7 % to 19 %" in told and "it rests a week more" in told
    pages.post(f"{where}correct/hue/", {"value": "1"}, 404)


def test_a_suspect_joint_asks_test_or_redo(pages: Pages, work: Work, slow_piece: Piece):
    in_clamps(work, slow_piece, minutes=40)
    correct_measurement(
        work.call(), piece=slow_piece.number, stage="glue-up", units=INCHES, gate="shop_temperature",
        value="5 C", reason="the thermometer hung by the stove", override="it is done already",
    )  # fmt: skip
    wait = Wait.objects.get(stage__piece=slow_piece, kind="unclamp")
    commission, stage = f"/commissions/{slow_piece.commission.number}/", url(slow_piece, "glue-up")
    for place in ("/", commission, stage):
        assert f"/waits/{wait.id}/end/" in pages.get(place).text, place
    for place in (commission, stage):
        assert f"{stage}?redo#redo" in pages.get(place).text, place
    assert "Test it or redo it" in pages.get(stage).words
    page = pages.send(f"/waits/{wait.id}/end/", status=409)
    assert "What the test showed" in page.words
    pages.send(f"/waits/{wait.id}/end/", {"reason": "cut through an offcut of the same glue-up: sound"})
    pages.send(f"{url(slow_piece, 'glue-up')}?redo", {"reason": "not to be trusted"}, to="/redo/")
    assert stage_of(slow_piece, "glue-up").step == Stage.Step.PLANNED


def test_a_missed_recoat_window_leads_to_the_abrading(pages: Pages, work: Work):
    work.go(days=-40)
    piece = work.accepted(width="24", glue="pva", finish_face="water-borne", sealing_coats="2")
    work.do_until(piece, "seal-1")
    follower = next(s.key for s in piece.stages.all() if "seal-1" in s.spec["after"])
    closes = Wait.objects.get(stage__piece=piece, kind="recoat").estimate.closes_at
    assert closes < timezone.now()
    assert "Starting puts abrading first" in pages.get(url(piece, follower)).words
    answer = pages.send(url(piece, follower), to="/start/").answer
    page = pages.get(answer.url)
    assert "Abrade: the recoat window was missed" in page.words and "not yet" in page.words


def test_a_reminder_names_what_the_wait_holds(pages: Pages, work: Work, slow_piece: Piece):
    in_clamps(work, slow_piece, minutes=300)
    refill(since=Turn.ESTIMATES)
    words = pages.get("/").words
    assert "Take off the clamps: ready since" in words and "Glue holding, clamps stay on is" not in words
