"""A stage at its page: what it asks, what refuses, what a reason overrides."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.stages.commands import start_stage
from jobs.models import Event, Piece, Stage, Wait
from tests.shop_fixtures import INCHES, QUICK, Work, a_call, a_maker, measured, quick_sheets, stage_of
from tests.web.conftest import at_the_glue, in_clamps
from tests.web.pages import Page, Pages, head

GLUE_UP = {"measured.shop_temperature": "68", "measured.wood_and_glue_warm": "yes"}


def url(piece: Piece, key: str) -> str:
    return f"/pieces/{piece.number}/stages/{key}/"


def step(piece: Piece, key: str) -> str:
    return stage_of(piece, key).step


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a top so narrow that it is glued in one go."""
    quick_sheets(work.call())
    return work.accepted(**QUICK, width="12")


@pytest.fixture
def glue_up(work: Work, piece: Piece) -> str:
    """Do everything before the glue-up, just now; return its page."""
    at_the_glue(work, piece)
    return url(piece, "glue-up")


def test_a_stage_shows_its_cautions_with_source_before_it_starts(pages: Pages, glue_up: str):
    page = pages.get(glue_up)
    assert "Gloves and eye protection" in page.words and "OSHA formaldehyde limits" in page.words
    assert "The product's own sheet, local codes and licensed practice come first." in page.words


def test_a_stage_asks_exactly_what_its_gates_measure(pages: Pages, glue_up: str):
    asked = {n for n in pages.get(glue_up).form("/start/").typed if n.startswith("measured.")}
    assert asked == set(GLUE_UP)


def test_ranges_are_in_the_persons_units(pages: Pages, glue_up: str, owner: object):
    assert "50 °F to 86 °F" in pages.get(glue_up).words
    owner.temperature_unit = "C"
    owner.save()
    assert "10 °C to 30 °C" in pages.get(glue_up).words


def test_starting_and_finishing(pages: Pages, piece: Piece, glue_up: str):
    assert pages.send(glue_up, GLUE_UP, to="/start/").answer.url == f"{glue_up}now/"
    started = pages.get(glue_up)
    assert "started" in started.words and step(piece, "glue-up") == "under way"
    finished = pages.send(
        glue_up, {"measured.glue_lot": "L-17", "minutes": "35", "remark": "warm the cauls"}, to="/finish/"
    )
    assert finished.answer.url == url(piece, "scrape")  # which opens soon
    stage = stage_of(piece, "glue-up")
    assert (stage.step, stage.minutes, stage.measured["glue_lot"]) == ("waiting", 35, {"code": "L-17"})
    done = pages.get(glue_up).words
    assert "warm the cauls" in done and "L-17" in done and "68 °F" in done


def test_minutes_left_empty_are_counted_from_the_start(pages: Pages, work: Work, piece: Piece):
    work.now = timezone.now() - timedelta(hours=1)
    work.start(piece, "survey")
    pages.send(url(piece, "survey"), dict.fromkeys(survey(), "yes"), to="/finish/")
    assert stage_of(piece, "survey").minutes == pytest.approx(60, abs=1)


def survey() -> list[str]:
    return ["measured.way_in_measured", "measured.drawing_approved", "measured.sample_approved"]


def test_what_began_earlier_is_recorded_at_its_time(pages: Pages, piece: Piece):
    earlier = timezone.localtime(timezone.now() - timedelta(minutes=90)).replace(second=0, microsecond=0)
    pages.send(url(piece, "survey"), {"when": earlier.strftime("%Y-%m-%dT%H:%M")}, to="/start/")
    assert stage_of(piece, "survey").started_at == earlier


@pytest.mark.parametrize(
    "when, says", [("yesterday", "valid date"), ("2999-01-01T10:00", "ahead of the shop's clock")]
)
def test_a_time_that_cannot_be_is_refused_beside_its_field(pages: Pages, piece: Piece, when: str, says: str):
    before = head()
    page = pages.send(url(piece, "survey"), {"when": when}, to="/start/", status=422)
    assert says in page.errors["when"] and head() == before


class TestAShutGate:
    """A gate that fails: everything typed stays, and each gate asks for a reason."""

    @pytest.fixture
    def refused(self, pages: Pages, glue_up: str) -> Page:
        self.before = head()
        return pages.send(glue_up, {"measured.shop_temperature": "41"}, to="/start/", status=409)

    def test_nothing_is_written_and_nothing_typed_is_lost(self, refused: Page, piece: Piece):
        assert head() == self.before and step(piece, "glue-up") == "planned"
        assert refused.form("/start/").typed["measured.shop_temperature"] == "41"

    def test_each_shut_gate_says_why_and_asks_for_its_own_reason(self, refused: Page):
        assert "Shop temperature: 41 °F. Allowed: 50 °F to 86 °F." in refused.words
        assert "Not started: see below" in refused.words
        assert refused.form("/start/").typed["measured.wood_and_glue_warm"] == ""
        reasons = refused.text.count("Why you go on all the same")
        assert reasons == 2, "the third gate, fresh edges, is open"

    def test_one_reason_does_not_pass_the_other_gate(self, pages: Pages, refused: Page, glue_up: str):
        typed = {"override.shop_temperature": "heater on its way"}
        page = pages.send_form(glue_up, refused.form("/start/"), typed, status=409)
        again = page.form("/start/")
        assert again.typed["override.shop_temperature"] == "heater on its way"
        assert "Wood and glue are as warm" in page.words

    def test_reasons_pass_the_gates_and_are_told_in_the_events(
        self, pages: Pages, refused: Page, glue_up: str
    ):
        typed = {"override.shop_temperature": "heater on its way", "measured.wood_and_glue_warm": "yes"}
        pages.send_form(glue_up, refused.form("/start/"), typed)
        event = Event.objects.get(seq=self.before + 1)
        assert event.kind == "stage_started" and set(event.data["overrides"]) == {"shop_temperature"}
        commission = event.stream.removeprefix("commission:")
        told = pages.get(f"/commissions/{commission}/history/?all").words
        assert "Shop temperature passed over: heater on its way" in told

    def test_an_unreadable_measurement_is_named_beside_its_field(self, pages: Pages, glue_up: str):
        page = pages.send(glue_up, {**GLUE_UP, "measured.shop_temperature": "warm"}, to="/start/", status=422)
        assert "cannot be read" in page.errors["measured.shop_temperature"]
        assert page.form("/start/").typed["measured.wood_and_glue_warm"] == "yes"


class TestARunningWait:
    """A wait that holds a stage is drawn, and only a reason overrides it."""

    @pytest.fixture
    def clamps_off(self, slow_piece: Piece, work: Work) -> str:
        in_clamps(work, slow_piece, minutes=40)
        return url(slow_piece, "clamps-off")

    def test_it_is_drawn_and_says_when(self, pages: Pages, clamps_off: str):
        page = pages.get(clamps_off)
        assert 'class="glue running' in page.text and "holds this stage" in page.words
        assert "not over yet" in page.words and "Go on all the same" in page.words

    def test_starting_without_a_reason_is_refused(self, pages: Pages, slow_piece: Piece, clamps_off: str):
        page = pages.send(clamps_off, to="/start/", status=409)
        assert (
            "still running. Allowed: ready at" in page.words and step(slow_piece, "clamps-off") == "planned"
        )

    def test_a_reason_ends_the_wait_and_starts_the_stage(
        self, pages: Pages, slow_piece: Piece, clamps_off: str
    ):
        pages.send(clamps_off, {"override.wait-unclamp": "clamps needed, joint tested"}, to="/start/")
        assert step(slow_piece, "clamps-off") == "under way"
        assert Wait.objects.get(kind="unclamp", stage__piece=slow_piece).step == Wait.Step.FINISHED

    def test_ending_a_wait_early_needs_a_reason(self, pages: Pages, slow_piece: Piece, clamps_off: str):
        wait = Wait.objects.get(kind="unclamp", stage__piece=slow_piece)
        page = pages.send(f"/waits/{wait.id}/end/", status=409)
        assert "is not over" in page.words
        pages.send(f"/waits/{wait.id}/end/", {"reason": "joint tested by hand"})
        wait.refresh_from_db()
        assert wait.step == Wait.Step.FINISHED
        assert "This wait is finished" in pages.get(f"/waits/{wait.id}/end/").words


def test_a_missed_window_is_passed_with_a_reason(pages: Pages, slow_piece: Piece, work: Work):
    in_clamps(work, slow_piece, minutes=180)
    page = pages.get(url(slow_piece, "scrape"))
    assert "window missed" in page.words and "its window has closed" in page.words
    pages.send(url(slow_piece, "scrape"), to="/start/", status=409)
    pages.send(url(slow_piece, "scrape"), {"override.window-scrape": "planed off later"}, to="/start/")
    assert step(slow_piece, "scrape") == "under way"


def test_a_rule_that_is_not_met_can_be_passed_too(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "wrap")
    page = pages.send(url(piece, "deliver"), to="/start/", status=409)
    assert "no delivery checklist yet" in page.words
    pages.send_form(
        url(piece, "deliver"), page.form("/start/"), {"override.checklist_issued": "client collects"}
    )
    assert step(piece, "deliver") == "under way"


def test_a_stage_that_is_not_open_says_what_comes_first(pages: Pages, piece: Piece):
    page = pages.get(url(piece, "glue-up"))
    assert "Comes after Timed dry fit" in page.words
    assert not [f for f in page.forms if f.action]
    assert "Time the dry fit" in page.words, "the way there"


def test_a_stage_before_what_precedes_it_is_refused(pages: Pages, piece: Piece):
    before = head()
    page = pages.post(url(piece, "glue-up") + "start/", {**GLUE_UP, "form_key": "k1"}, 409)
    assert "Glue-up comes after: Timed dry fit" in page.words and head() == before
    assert "What you typed" in page.words and "68" in page.words


def test_put_back_and_reopen(pages: Pages, work: Work, piece: Piece):
    pages.send(url(piece, "survey"), to="/start/")
    pages.send(url(piece, "survey"), to="/put-back/")
    assert step(piece, "survey") == "planned"
    work.now = timezone.now()
    work.do(piece, "survey")
    page = pages.send(url(piece, "survey"), {"reason": " "}, to="/reopen/", status=422)
    assert "Reopening needs a reason" in page.errors["reason"]
    pages.send(url(piece, "survey"), {"reason": "client moved the wall"}, to="/reopen/")
    assert step(piece, "survey") == "under way"


def test_reopening_what_others_rest_on_names_them(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "rough-mill")
    page = pages.send(url(piece, "stock"), {"reason": "a split board"}, to="/reopen/", status=409)
    assert "Rough milled started after" in page.words
    assert page.form("/reopen/").typed["reason"] == "a split board"


class TestTwoPhones:
    """The same form twice, two people at once, and a stale form."""

    def test_a_form_sent_twice_lands_once(self, pages: Pages, piece: Piece):
        form = pages.get(url(piece, "survey")).form("/start/")
        pages.send_form("", form)
        before = head()
        pages.send_form("", form)
        assert head() == before and Event.objects.filter(kind="stage_started").count() == 1

    def test_the_same_key_with_another_content_is_refused_and_gets_a_new_key(
        self, pages: Pages, piece: Piece
    ):
        form = pages.get(url(piece, "survey")).form("/start/")
        pages.send_form("", form)
        pages.send(url(piece, "survey"), to="/put-back/")
        page = pages.send_form("", form, {"when": "2026-01-05T08:00"}, status=422)
        assert "already used for another request" in page.words
        assert page.form("/start/").typed["form_key"] != form.typed["form_key"]

    def test_two_people_finish_the_same_stage(
        self, pages: Pages, maker_pages: Pages, work: Work, piece: Piece
    ):
        work.now = timezone.now() - timedelta(minutes=1)
        work.start(piece, "survey")
        typed = dict.fromkeys(survey(), "yes")
        mine, theirs = (p.get(url(piece, "survey")).form("/finish/") for p in (pages, maker_pages))
        pages.send_form("", mine, typed)
        page = maker_pages.send_form("", theirs, {**typed, "remark": "narrow stairs"}, status=409)
        assert "is done already: by " in page.words and "narrow stairs" in page.words
        assert Event.objects.filter(kind="stage_finished").count() == 1

    def test_a_form_grown_old_is_refused_once_and_then_taken(self, pages: Pages, work: Work, piece: Piece):
        form = pages.get(url(piece, "survey")).form("/start/")
        other = a_maker("other")
        start_stage(a_call(other, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
        pages.send(url(piece, "survey"), to="/put-back/")
        page = pages.send_form("", form, status=409)
        assert "changed since it was last seen" in page.words
        pages.send_form("", page.form("/start/"))
        assert Stage.objects.get(piece=piece, key="survey").step == "under way"


def test_clock_behind_the_log_is_told(pages: Pages, work: Work, piece: Piece):
    work.now = timezone.now() + timedelta(minutes=4)
    start_stage(work.call(), piece=piece.number, stage="survey", units=INCHES)
    pages.send(url(piece, "survey"), to="/put-back/")
    assert "the shop's clock" in pages.get(url(piece, "survey")).words


def test_a_wait_that_began_at_another_time_is_put_right(pages: Pages, work: Work, slow_piece: Piece):
    in_clamps(work, slow_piece, minutes=30)
    wait = Wait.objects.get(stage__piece=slow_piece, kind="unclamp", step=Wait.Step.RUNNING)
    at = f"/waits/{wait.id}/end/"
    typed = timezone.localtime(wait.since + timedelta(minutes=10))
    pages.send(at, {"since": f"{typed:%Y-%m-%dT%H:%M}", "reason": "wrote it down late"}, to="/start/")
    moved = Wait.objects.get(id=wait.id).since - wait.since
    assert timedelta(minutes=9) <= moved <= timedelta(minutes=10)
    for wrong in (
        {"reason": ""},
        {"since": "2020-01-01T12:00", "reason": "no"},
        {"since": "", "reason": "no"},
    ):
        refused = pages.send(at, wrong, to="/start/", status=422)
        assert refused.errors


class TestInOneTap:
    """A stage where nothing is measured at the start is done in one tap; its time is asked afterwards."""

    def test_it_is_done_and_undone(self, pages: Pages, piece: Piece):
        done = pages.send(url(piece, "survey"), dict.fromkeys(survey(), "yes"), to="/do/")
        assert step(piece, "survey") == "done" and stage_of(piece, "survey").minutes is None
        back = pages.get(done.answer.url)
        assert "done." in back.words and "How long did it take?" in back.words
        pages.send_form("", back.form("/put-back/"))
        assert step(piece, "survey") == "planned"

    def test_one_more_tap_says_how_long_it_took(self, pages: Pages, piece: Piece):
        done = pages.send(url(piece, "survey"), dict.fromkeys(survey(), "yes"), to="/do/")
        asked = pages.get(done.answer.url).form("/time/")
        pages.post(asked.action, {**asked.typed, "minutes": "60"})
        assert stage_of(piece, "survey").minutes == 60

    def test_what_is_missing_stands_beside_the_button_and_the_rest_is_kept(self, pages: Pages, piece: Piece):
        first, second, third = survey()
        page = pages.send(url(piece, "survey"), {first: "yes", second: "yes"}, to="/do/", status=409)
        assert "Not done: one thing is not ticked" in page.words
        assert "The other 2 answers are kept." in page.words
        assert [page.form("/do/").typed[name] for name in survey()] == ["yes", "yes", ""]
        pages.send_form("", page.form("/do/"), {third: "yes"})
        assert step(piece, "survey") == "done"

    def test_it_is_not_offered_where_something_is_measured_first(self, pages: Pages, glue_up: str):
        assert not [form for form in pages.get(glue_up).forms if form.action.endswith("/do/")]

    def test_cautions_are_in_full_at_first_and_folded_afterwards(
        self, pages: Pages, work: Work, piece: Piece
    ):
        in_full = '<details class="sheet full caution" open>'
        work.do_until(piece, "stock")
        assert in_full in pages.get(url(piece, "rough-mill")).text
        work.do_until(piece, "rough-mill")
        later = pages.get(url(piece, "final-mill"))
        assert in_full not in later.text and "Ear protection" in later.words


def test_a_reading_of_the_place_stands_in_its_field_and_says_so(
    pages: Pages, piece: Piece, glue_up: str, owner: object
):
    now = timezone.now()
    measured([{"place": "shop", "at": now, "temperature": "20"}], source="s", temperature_unit="C", now=now)
    page = pages.get(glue_up)
    assert page.form("/start/").typed["measured.shop_temperature"] == "68"
    assert "sensor" in page.words and "1 of 2 good" in page.words
