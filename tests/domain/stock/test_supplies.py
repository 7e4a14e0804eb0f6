"""Supplies on the shelf: lots, levels, and best-before dates."""

from datetime import date, timedelta

import pytest

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, WrongState
from jobs.domain.stock.queries import glue_notes, supply_views
from jobs.domain.stock.supplies import add_supply, discard_supply, open_supply, refill_supply, set_level
from jobs.log.rebuild import compare
from jobs.models import Event, Supply
from jobs.models.bases import row_key
from tests.shop_fixtures import NOON, SHORT, good, stage_of

pytestmark = pytest.mark.django_db
TODAY = NOON.date()
PVA = {"kind": "glue", "name": "Yellow glue, gallon", "sheet": "pva", "lot": "L-17"}


def on_shelf(work, **asked):
    done = add_supply(work.call(), **{**PVA, **asked})
    return Supply.objects.get(id=row_key(done.events[0].seq))


def view(supply, today=TODAY):
    return supply_views([Supply.objects.get(id=supply.id)], today=today)[0]


# The shelf life of PVA is 12 months on its sheet (calcs/tables/glues.csv: common practice, no source).
@pytest.mark.parametrize(
    "asked, last",
    [
        ({"got_on": date(2026, 3, 1)}, date(2027, 3, 1)),
        ({"got_on": date(2026, 3, 1), "opened_on": date(2025, 9, 1)}, date(2026, 9, 1)),
        ({"got_on": date(2026, 3, 1), "shelf_life_d": 30}, date(2026, 3, 31)),
        ({"got_on": date(2026, 3, 1), "use_by": date(2026, 6, 30)}, date(2026, 6, 30)),
        ({"got_on": date(2026, 3, 1), "use_by": date(2030, 1, 1)}, date(2027, 3, 1)),
        ({"sheet": "epoxy"}, None),
        ({"sheet": ""}, None),
    ],
)
def test_best_before_follows_from_what_is_known(work, asked, last):
    assert view(on_shelf(work, **asked))["best_before"] == last


def test_it_is_past_on_the_day_after(work):
    supply = on_shelf(work, use_by=TODAY)
    assert not view(supply)["is_past"]
    assert view(supply, TODAY + timedelta(days=1))["is_past"]


def test_a_container_through_its_life(work):
    supply = on_shelf(work, got_on=date(2026, 1, 5))
    open_supply(work.call(), supply=supply.id)
    assert (view(supply)["opened_on"], view(supply)["level"]) == (TODAY, "full")
    with pytest.raises(WrongState):
        open_supply(work.call(), supply=supply.id)
    set_level(work.call(), supply=supply.id, level="low")
    assert view(supply)["level"] == "low"
    refill_supply(work.call(), supply=supply.id, lot="L-18")
    shown = view(supply)
    assert (shown["lot"], shown["level"], shown["opened_on"], shown["got_on"]) == (
        "L-18",
        "full",
        None,
        TODAY,
    )
    with pytest.raises(Invalid):
        discard_supply(work.call(), supply=supply.id, reason="")
    discard_supply(work.call(), supply=supply.id, reason="skinned over in the frost")
    with pytest.raises(WrongState):
        set_level(work.call(), supply=supply.id, level="half")
    bodies = "".join(Event.objects.values_list("body", flat=True))
    assert "skinned" not in bodies and "Yellow glue" not in bodies
    assert compare() == []


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"kind": "nail"}, "kind"),
        ({"name": " "}, "name"),
        ({"name": "x" * 121}, "name"),
        ({"sheet": "honey"}, "sheet"),
        ({"kind": "abrasive"}, "sheet"),
        ({"lot": "L;17"}, "lot"),
        ({"got_on": TODAY + timedelta(days=1)}, "got_on"),
        ({"opened_on": date(1999, 1, 1)}, "opened_on"),
        ({"shelf_life_d": 0}, "shelf_life_d"),
        ({"use_by": date(2101, 1, 1)}, "use_by"),
        ({"level": "brimming"}, "level"),
    ],
)
def test_a_supply_that_cannot_be(work, wrong, field):
    before = Event.objects.count()
    with pytest.raises((Invalid, CalcError)) as refused:
        on_shelf(work, **wrong)
    assert refused.value.field == field and refused.value.allowed
    assert Event.objects.count() == before


def notes(piece, today=TODAY):
    stage = stage_of(piece, "glue-up")
    shown = {"gates": stage.spec["gates"], "measured": stage.measured, "finished_at": stage.finished_at}
    return glue_notes(piece, shown, today=today)


def test_the_glue_up_says_what_is_wrong_with_the_glue(work):
    piece = work.accepted(**SHORT)
    assert notes(piece) == {"shelf": [], "wrong": ["no container of this glue stands among the supplies"]}
    on_shelf(work, sheet="quick-glue", lot="L-17", use_by=TODAY - timedelta(days=1))
    on_shelf(work, sheet="quick-glue", lot="L-18", use_by=date(2027, 1, 1))
    on_shelf(work, sheet="pva", lot="L-19")
    found = notes(piece)
    assert [n.partition("lot ")[2][:4] for n in found["shelf"]] == ["L-18"]
    assert "past its date" in found["wrong"][0] and "lot L-17" in found["wrong"][0]


@pytest.mark.parametrize(
    "lot, says", [("L-17", "past its date"), ("L-18", ""), ("l-18", ""), ("L-99", "not among the supplies")]
)
def test_a_lot_that_was_used_is_judged_and_told(work, lot, says):
    on_shelf(work, sheet="quick-glue", lot="L-17", use_by=TODAY - timedelta(days=1))
    on_shelf(work, sheet="quick-glue", lot="L-18", use_by=date(2027, 1, 1))
    piece = work.accepted(**SHORT)
    before_glue_up(work, piece)
    work.start(piece, "glue-up", measured=good(piece, "glue-up", "start"))
    measured = {**good(piece, "glue-up", "finish"), "glue_lot": lot}
    done = work.finish(piece, "glue-up", measured=measured)
    assert any(says in n for n in done.notices) if says else not done.notices
    assert notes(piece)["wrong"] == done.notices


def before_glue_up(work, piece):
    before = [s.key for s in piece.stages.order_by("position") if not s.spec["passive"]]
    for key in before[: before.index("glue-up")]:
        work.do(piece, key)
    work.wait_for(piece, "glue-up")
