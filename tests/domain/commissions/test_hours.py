"""Hours by commission and by kind of stage, redone work apart."""

from datetime import date

import pytest

from jobs.core.errors import Invalid
from jobs.domain.commissions.hours import hours
from jobs.domain.stages.rework import redo_stage
from jobs.domain.stages.route_edits import add_stage
from tests.shop_fixtures import NOON, SHORT, a_client, a_commission, a_piece, accept_bare, good

pytestmark = pytest.mark.django_db
COATS = SHORT | {"sealing_coats": "4"}
EVER = {"since": None, "until": None, "with_money": True}


def timed(work, piece, minutes: dict[str, int]) -> None:
    """Finish each stage in turn with these minutes."""
    work.once("timed", (piece.number, minutes), lambda: _timed(work, piece, minutes))


def _timed(work, piece, minutes: dict[str, int]) -> None:
    for key, spent in minutes.items():
        work.wait_for(piece, key)
        work.start(piece, key, measured=good(piece, key, "start"))
        work.finish(piece, key, measured=good(piece, key, "finish"), minutes=spent)


START = {"survey": 30, "glue-up": 60, "scrape": 5, "clamps-off": 15}


def kind(view, key):
    return next(k for k in view["kinds"] if k["kind"] == key)


# Four coats of 10, 20, 40 and 50 min. By hand: sum 120; the middle of 20 and 40 is 30; from 10 to 50.
def test_coats_of_one_kind_have_a_sum_a_median_and_a_range(work):
    piece = work.accepted(**COATS)
    coats = {
        "seal-1": 10,
        "scuff-seal-2": 3,
        "seal-2": 50,
        "scuff-seal-3": 3,
        "seal-3": 40,
        "scuff-seal-4": 3,
    }
    timed(work, piece, START | {"flatten": 90} | coats | {"seal-4": 20})
    view = hours(**EVER)
    assert kind(view, "seal") == {
        "kind": "seal", "title": "Sealing coat", "count": 4, "minutes": 120, "median": 30, "least": 10,
        "most": 50, "redone": 0, "redone_minutes": 0,
    }  # fmt: skip
    assert (kind(view, "scuff")["count"], kind(view, "scuff")["median"]) == (3, 3)
    assert view["minutes"] == 30 + 60 + 5 + 15 + 90 + 120 + 9
    assert [k["kind"] for k in view["kinds"]][:2] == ["seal", "flatten"], "the longest first"
    assert not {"cure", "full-cure"} & {k["kind"] for k in view["kinds"]}, "they need no hands"


@pytest.mark.both_databases
def test_redone_work_is_counted_apart(work):
    piece = work.accepted(**SHORT)
    timed(work, piece, START)
    redo_stage(work.call(), piece=piece.number, stage="glue-up", reason="a joint opened")
    timed(work, piece, {"glue-up": 45})
    view = hours(**EVER)
    glued = kind(view, "glue-up")
    assert (glued["count"], glued["minutes"], glued["redone"], glued["redone_minutes"]) == (1, 45, 1, 60)
    scraped = kind(view, "scrape")
    assert (scraped["count"], scraped["median"], scraped["redone_minutes"]) == (0, None, 5)
    (row,) = view["commissions"]
    assert (row["minutes"], row["redone"], row["redone_minutes"]) == (30 + 45, 3, 60 + 5 + 15)


def test_each_commission_has_its_own_and_two_pieces_add_up(work):
    first = work.accepted(**SHORT)
    commission = first.commission
    second = a_piece(work.call(), commission, **SHORT)
    other = a_commission(work.call(), a_client(work.call()), "Bench top")
    third = a_piece(work.call(), other, **SHORT)
    accept_bare(work.call(), commission=other.number)
    for piece, minutes in ((first, 10), (second, 15), (third, 40)):
        timed(work, piece, {"survey": minutes})
    view = hours(**EVER)
    assert [(r["number"], r["title"], r["minutes"]) for r in view["commissions"]] == [
        (other.number, "Bench top", 40), (commission.number, "Desk by the window", 25),
    ]  # fmt: skip
    assert (kind(view, "survey")["count"], kind(view, "survey")["median"]) == (3, 15)


def test_a_period_takes_whole_days_of_the_shops_calendar(work, settings):
    settings.TIME_ZONE = "America/Chicago"
    piece = work.accepted(**SHORT)
    work.now = NOON.replace(day=10, hour=4, minute=50)  # 23:50 on the 9th there: daylight saving, UTC-5
    timed(work, piece, {"survey": 7})
    ninth, tenth = date(2026, 3, 9), date(2026, 3, 10)
    assert hours(since=ninth, until=ninth, with_money=True)["minutes"] == 7
    assert hours(since=tenth, until=None, with_money=True)["count"] == 0
    assert hours(since=None, until=date(2026, 3, 8), with_money=True)["count"] == 0
    with pytest.raises(Invalid) as refused:
        hours(since=tenth, until=ninth, with_money=True)
    assert refused.value.field == "until"


def test_stages_of_ones_own_are_told_apart_by_their_titles(work):
    piece = work.accepted(**SHORT)
    for title in ("Inlay", "Legs turned"):
        add_stage(work.call(), piece=piece.number, title=title, after=["survey"])
    timed(work, piece, {"survey": 5, "added-1": 25, "added-2": 35})
    own = {k["title"]: k["minutes"] for k in hours(**EVER)["kinds"] if k["kind"] == ""}
    assert own == {"Inlay": 25, "Legs turned": 35}
