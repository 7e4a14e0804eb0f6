"""Paid and closed: once for a commission, however many pieces it has."""

import pytest

from jobs.core.errors import Invalid, NotYet
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.commissions.hours import hours
from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.commission import commission_rows
from jobs.domain.stages.commands import put_back_stage, reopen_stage
from jobs.domain.stages.route_edits import set_template
from jobs.log.rebuild import compare
from jobs.models import Commission, Event
from tests.shop_fixtures import ROUTES, stage_of, two_wrapped

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(work):
    return two_wrapped(work)


def steps(pair, key):
    return [stage_of(piece, key).step for piece in pair]


def on_the_bench(work):
    seen = bench(now=work.now, person=work.by.id)
    return [(c["stage"], c["piece"]) for c in (*seen["under_way"], *seen["can_do"])]


def test_what_is_done_on_one_piece_is_done_on_its_sister(work, pair):
    first, second = pair
    credit_invoice(work.call(), paper="I2026-0001", reason="one leg more")
    work.do(first, "deliver")
    work.do(second, "deliver")
    assert on_the_bench(work) == [], "the invoice comes first"
    assert commission_rows([first.commission], now=work.now)[0]["next"] == ["Collect the payment"]
    work.start(second, "paid")
    done = work.finish(second, "paid", minutes=5, override={"paid_up": "it goes on the next order"})
    assert [(e.kind, e.data["piece"]) for e in done.events[:3]] == [
        ("stage_finished", second.number), ("stage_started", first.number), ("stage_finished", first.number),
    ]  # fmt: skip
    assert len({e.command_id for e in done.events}) == 1
    assert steps(pair, "paid") == ["done", "done"]
    assert steps(pair, "close") == ["done", "done"] and Commission.objects.get().step == "closed"
    assert on_the_bench(work) == []
    paid = next(k for k in hours(since=None, until=None, with_money=True)["kinds"] if k["kind"] == "paid")
    assert (paid["count"], paid["minutes"]) == (1, 5), "the minutes count once"
    assert compare() == []


def test_a_sister_that_has_not_come_so_far_is_left(work, pair):
    first, second = pair
    work.do(first, "deliver", "paid")
    assert steps(pair, "paid") == ["done", "planned"]
    with pytest.raises(NotYet):
        work.start(second, "close")
    work.do(second, "deliver")
    assert steps(pair, "paid") == ["done", "done"] and Commission.objects.get().step == "closed"


def test_it_is_reopened_and_put_back_on_both(work, pair):
    first, second = pair
    for piece in pair:
        work.do(piece, "deliver")
    reopen_stage(work.call(), piece=second.number, stage="close", reason="one leg came back")
    assert steps(pair, "close") == ["under way"] * 2 and Commission.objects.get().step == "delivered"
    assert on_the_bench(work) == [("close", first.number)]
    work.finish(first, "close")
    assert steps(pair, "close") == ["done"] * 2 and Commission.objects.get().step == "closed"
    reopen_stage(work.call(), piece=first.number, stage="close", reason="one leg came back")
    put_back_stage(work.call(), piece=first.number, stage="close")
    assert steps(pair, "close") == ["planned"] * 2
    assert compare() == []


def test_pieces_laid_before_do_it_each_for_itself(work, settings, tmp_path):
    text = (ROUTES / "short.toml").read_text("utf-8")
    (tmp_path / "short.toml").write_text(text.replace('once_per = "commission"\n', ""))
    settings.ROUTES_DIR = tmp_path
    pair = two_wrapped(work)
    work.do(pair[0], "deliver", "paid")
    assert steps(pair, "paid") == ["done", "planned"]
    work.do(pair[1], "deliver")
    assert steps(pair, "close") == ["done", "done"], "each ends by itself"


@pytest.mark.parametrize(
    "line",
    ['waits = [{ kind = "rest", title = "Rests", duration = "1 d" }]', 'repeat = "build_coats"',
     'gates = [{ key = "flat", at = "finish", unit = "yes", title = "Flat" }]', 'once_per = "year"'],
)  # fmt: skip
def test_a_template_says_what_cannot_be_done_once(work, line):
    once = "" if "once_per" in line else 'once_per = "commission"\n'
    text = f'key = "shelf"\ntitle = "Shelf"\n[[stage]]\nkey = "make"\ntitle = "Made"\n{once}{line}\n'
    before = Event.objects.count()
    with pytest.raises(Invalid, match="stage make: once_per"):
        set_template(work.call(), text=text)
    assert Event.objects.count() == before
