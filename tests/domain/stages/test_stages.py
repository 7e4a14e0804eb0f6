"""Stages: order, start and finish, put back, reopen; each commission independent."""

from datetime import timedelta

import pytest

from jobs.core.errors import AlreadyDone, Forbidden, GateShut, Invalid, NotFound, NotYet, WrongState
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.stages.commands import put_back_stage, reopen_stage
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.log.rebuild import compare
from jobs.models import Event, Stage, Wait
from tests.shop_fixtures import QUICK, SHORT, Work, a_maker, a_piece, accept_bare, good, stage_of

pytestmark = pytest.mark.django_db
BOTH_ORDERS = [("scrape", "clamps-off"), ("clamps-off", "scrape")]


def standings(piece):
    return {s.key: (s.step, s.minutes, s.measured) for s in piece.stages.all()}


def test_two_independent_stages_in_both_orders_lead_to_the_same(work):
    pieces = [work.accepted(**SHORT) for _ in BOTH_ORDERS]
    for piece, (first, second) in zip(pieces, BOTH_ORDERS, strict=True):
        work.do_until(piece, "glue-up")
        assert {k for k in ("scrape", "clamps-off") if open_now(piece, k)} == {"scrape", "clamps-off"}
        work.do(piece, first)
        assert not open_now(piece, "flatten")
        work.do(piece, second)
        work.do(piece, "flatten")
    assert standings(pieces[0]) == standings(pieces[1])


def test_stiffeners_and_ends_in_both_orders_lead_to_the_same(work):
    pieces = [work.accepted(**QUICK, stiffeners=True) for _ in range(2)]
    for piece, order in zip(
        pieces, [("stiffeners", "square-ends"), ("square-ends", "stiffeners")], strict=True
    ):
        work.do_until(piece, "final-flatten")
        work.do(piece, *order, "edge-profile", "sand")
    assert standings(pieces[0]) == standings(pieces[1])


def open_now(piece, key):
    from jobs.domain.waits.route import RouteState

    return RouteState(piece).open_to(stage_of(piece, key))


def test_a_stage_before_what_precedes_it_is_refused_by_name(work):
    piece = work.accepted(**SHORT)
    with pytest.raises(NotYet) as refused:
        work.start(piece, "flatten")
    assert refused.value.extra["first"] == ["scrape", "cure"]
    assert "Scraped, Cures" in refused.value.detail


def test_what_precedes_cannot_be_overridden(work):
    piece = work.accepted(**SHORT)
    with pytest.raises(NotYet):
        work.start(piece, "glue-up", override={"survey": "in a hurry"}, measured={"shop_temperature": "20 C"})


def test_before_acceptance_only_what_is_marked_so_can_be_done(work):
    piece = work.accepted(**SHORT)
    enquiry = a_piece(work.call(), open_commission(work), **SHORT)
    work.do(enquiry, "survey")
    with pytest.raises(WrongState, match="is enquiry"):
        work.start(enquiry, "glue-up", measured={"shop_temperature": "20 C"})
    work.do(piece, "survey", "glue-up")


def open_commission(work):
    from tests.shop_fixtures import a_client, a_commission

    return a_commission(work.call(), a_client(work.call()))


def test_finishing_keeps_minutes_measurements_and_who(work):
    piece = work.accepted(**SHORT)
    work.start(piece, "survey")
    work.go(minutes=25)
    work.finish(piece, "survey", measured={"drawing_approved": "yes"})
    stage = stage_of(piece, "survey")
    assert (stage.minutes, stage.measured, stage.finished_by) == (
        25,
        {"drawing_approved": {"yes": True}},
        work.by.id,
    )
    assert stage.finished_at - stage.started_at == timedelta(minutes=25, seconds=1)


@pytest.mark.parametrize("minutes", [-1, 7 * 24 * 60 + 1])
def test_absurd_minutes_are_refused(work, minutes):
    piece = work.accepted(**SHORT)
    work.start(piece, "survey")
    with pytest.raises(Invalid) as refused:
        work.finish(piece, "survey", minutes=minutes, measured={"drawing_approved": "yes"})
    assert (refused.value.field, refused.value.allowed) == ("minutes", "0 to 10080")


def test_a_stage_is_started_and_finished_once(work):
    piece = work.accepted(**SHORT)
    work.start(piece, "survey")
    with pytest.raises(AlreadyDone, match="under way already: by owner at 2026-03-02 12:00"):
        work.start(piece, "survey")
    work.finish(piece, "survey", measured={"drawing_approved": "yes"})
    with pytest.raises(AlreadyDone, match="Drawing approved is done already: by owner"):
        work.finish(piece, "survey", measured={"drawing_approved": "yes"})


def test_finishing_what_was_not_started_is_refused(work):
    with pytest.raises(NotYet, match="has not been started"):
        work.finish(work.accepted(**SHORT), "survey", measured={"drawing_approved": "yes"})


@pytest.mark.parametrize("verb", ["start", "finish"])
def test_unknown_pieces_and_stages_are_not_found(work, verb):
    piece = work.accepted(**SHORT)
    with pytest.raises(NotFound, match="stage"):
        getattr(work, verb)(piece, "polishing")
    piece.number = "2026-999-1"
    with pytest.raises(NotFound):
        getattr(work, verb)(piece, "survey")


def test_a_stage_that_needs_no_hands_starts_by_itself_only(work):
    piece = work.accepted(**SHORT)
    work.do_until(piece, "clamps-off")
    assert stage_of(piece, "cure").step == Stage.Step.WAITING
    other = work.accepted(**SHORT)
    with pytest.raises(WrongState, match="Cures starts by itself"):
        work.start(other, "cure")


def test_a_route_that_begins_without_hands_begins_at_acceptance(work, settings, tmp_path):
    (tmp_path / "resting.toml").write_text(
        'key = "resting"\ntitle = "Rest first"\n'
        '[[stage]]\nkey = "rest"\ntitle = "Rests"\npassive = true\n'
        'waits = [{ kind = "rest", title = "Resting", duration = "2 h" }]\n'
        '[[stage]]\nkey = "work"\ntitle = "Worked"\nafter = ["rest"]\n'
    )
    settings.ROUTES_DIR = tmp_path
    piece = a_piece(work.call(), open_commission(work), route="resting", label="Shelf")
    assert stage_of(piece, "rest").step == Stage.Step.PLANNED
    accept_bare(work.call(), commission=piece.commission.number)
    assert stage_of(piece, "rest").step == Stage.Step.WAITING
    work.do(piece, "work")


class TestPutBack:
    def test_it_is_planned_again_and_its_measurements_are_void(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey")
        work.start(piece, "glue-up", measured={"shop_temperature": "20 C"})
        put_back_stage(work.call(), piece=piece.number, stage="glue-up")
        stage = stage_of(piece, "glue-up")
        assert (stage.step, stage.started_at, stage.started_by, stage.measured) == ("planned", None, "", {})
        assert compare() == []

    @pytest.mark.parametrize("stage, error", [("survey", AlreadyDone), ("scrape", NotYet)])
    def test_only_what_is_under_way_is_put_back(self, work, stage, error):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey", "glue-up")
        with pytest.raises(error):
            put_back_stage(work.call(), piece=piece.number, stage=stage)


class TestReopen:
    def test_its_waits_are_void_and_it_is_under_way(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey", "glue-up")
        reopen_stage(work.call(), piece=piece.number, stage="glue-up", reason="a joint had opened")
        assert stage_of(piece, "glue-up").step == Stage.Step.UNDER_WAY
        assert {w.step for w in Wait.objects.all()} == {Wait.Step.VOID}
        work.finish(piece, "glue-up", measured=good(piece, "glue-up", "finish"))
        assert Wait.objects.filter(step=Wait.Step.RUNNING).count() == 2

    def test_a_started_successor_refuses_and_is_named(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey", "glue-up", "scrape")
        with pytest.raises(WrongState, match="Scraped started after Glue-up") as refused:
            reopen_stage(work.call(), piece=piece.number, stage="glue-up", reason="a joint had opened")
        assert refused.value.extra["first"] == ["scrape"]

    def test_a_successor_that_needs_no_hands_goes_back_with_it(self, work):
        piece = work.accepted(**SHORT)
        work.do_until(piece, "clamps-off")
        reopen_stage(work.call(), piece=piece.number, stage="clamps-off", reason="clamped again")
        assert stage_of(piece, "cure").step == Stage.Step.PLANNED
        assert not Wait.objects.filter(kind="machine", step=Wait.Step.RUNNING).exists()
        work.finish(piece, "clamps-off")
        assert stage_of(piece, "cure").step == Stage.Step.WAITING
        assert compare() == []

    def test_a_stage_that_needs_no_hands_is_not_reopened(self, work):
        piece = work.accepted(**SHORT)
        work.do_until(piece, "clamps-off")
        with pytest.raises(WrongState, match="reopen what comes before it"):
            reopen_stage(work.call(), piece=piece.number, stage="cure", reason="too soon")

    # By hand: 25 min, then on another day 10 min, a pause, 6 min, a pause, and 4 min: 45 in all.
    def test_work_time_goes_on_from_what_was_worked_before(self, work):
        piece = work.accepted(**SHORT)
        work.start(piece, "survey")
        work.go(minutes=25)
        work.finish(piece, "survey", measured={"drawing_approved": "yes"})
        work.go(days=2)
        done = reopen_stage(work.call(), piece=piece.number, stage="survey", reason="another drawing")
        stage = stage_of(piece, "survey")
        reopened = (stage.worked_s, stage.resumed_at, stage.finished_at, stage.finished_by)
        assert reopened == (25 * 60, done.events[0].occurred_at, None, "")
        for minutes in (10, 6):
            work.go(minutes=minutes)
            pause_stage(work.call(), piece=piece.number, stage="survey")
            work.go(hours=5)
            resume_stage(work.call(), piece=piece.number, stage="survey")
        work.go(minutes=4)
        work.finish(piece, "survey", measured={"drawing_approved": "yes"})
        stage = stage_of(piece, "survey")
        assert (stage.minutes, stage.finished_at) == (45, work.now)
        assert compare() == []

    def test_a_stage_with_minutes_of_its_own_goes_on_from_these(self, work):
        piece = work.accepted(**SHORT)
        work.start(piece, "survey")
        work.go(minutes=3)
        work.finish(piece, "survey", minutes=90, measured={"drawing_approved": "yes"})
        reopen_stage(work.call(), piece=piece.number, stage="survey", reason="another drawing")
        work.go(minutes=20)
        work.finish(piece, "survey", measured={"drawing_approved": "yes"})
        assert stage_of(piece, "survey").minutes == 110

    def test_it_needs_a_reason_and_something_finished(self, work):
        piece = work.accepted(**SHORT)
        with pytest.raises(WrongState, match="only a finished stage"):
            reopen_stage(work.call(), piece=piece.number, stage="survey", reason="why not")
        work.do(piece, "survey")
        with pytest.raises(Invalid, match="reason"):
            reopen_stage(work.call(), piece=piece.number, stage="survey", reason=" ")


def test_commissions_are_independent_of_each_other(work):
    one, other = work.accepted(**SHORT), work.accepted(**SHORT)
    untouched = standings(other), other.commission.version
    work.do_until(one, "flatten")
    other.commission.refresh_from_db()
    assert (standings(other), other.commission.version) == untouched
    assert (
        other.commission.step == "accepted"
        and one.commission.__class__.objects.get(id=one.commission_id).step == "in the shop"
    )


def test_a_maker_works_but_leaves_the_owners_stages(work, settings):
    piece = work.accepted(**SHORT)
    maker = Work(a_maker(), now=work.now)
    maker.do_until(piece, "flatten")
    assert stage_of(piece, "flatten").finished_by == maker.by.id
    with pytest.raises(Forbidden):
        maker.start(piece, "paid")


def test_nothing_is_done_on_a_cancelled_commission(work):
    piece = work.accepted(**SHORT)
    work.do(piece, "survey", "glue-up")
    work.start(piece, "scrape", override={"wait:scrape": "looked rubbery"})
    move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="house sold")
    seq = Event.objects.count()
    for verb in (work.start, work.finish):
        for key in ("scrape", "clamps-off"):
            with pytest.raises((WrongState, AlreadyDone, NotYet)):
                verb(piece, key)
    with pytest.raises(WrongState):
        put_back_stage(work.call(), piece=piece.number, stage="scrape")
    with pytest.raises(WrongState):
        reopen_stage(work.call(), piece=piece.number, stage="survey", reason="why not")
    assert Event.objects.count() == seq


def test_waits_left_running_refuse_followers(work):
    piece = work.accepted(**SHORT)
    work.do(piece, "survey", "glue-up")
    wait = Wait.objects.get(kind="unclamp")
    with pytest.raises(GateShut) as refused:
        work.start(piece, "clamps-off")
    assert refused.value.status == 409
    assert refused.value.extra["shut"][0]["key"] == "wait:unclamp"
    assert (
        f"{wait.since + timedelta(seconds=2):%Y-%m-%d %H:%M:%S}" in refused.value.extra["shut"][0]["allowed"]
    )
