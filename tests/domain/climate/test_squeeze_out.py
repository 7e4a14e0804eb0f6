"""The window of squeeze-out: when it opens, and how much of it is left to scrape in."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.core.errors import GateShut
from jobs.domain.reminders.kinds import WAIT_KINDS
from jobs.domain.reminders.queries import reminders_due
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Wait, WaitEstimate
from tests.domain.climate.waits import EPOXY, HOUR, MINUTE, air, clamped, estimate
from tests.shop_fixtures import (
    Work,
)

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def scraped(work: Work, glue: str, temp: int) -> WaitEstimate:
    wait = clamped(work, glue)
    beads = Wait.objects.get(stage__piece=wait.stage.piece, kind="scrape", step=Wait.Step.RUNNING)
    air(work, beads.since - 3 * HOUR, [temp] * 5)
    return estimate(beads)


def test_squeeze_out_is_told_when_it_is_sure_but_a_third_of_its_sure_window_is_kept(work):
    brief = EPOXY | {"name": "Brief epoxy", "scrape_to_s": "150 min"}
    set_sheet(work.call(), kind="glue", key="brief-epoxy", data=brief)
    said = scraped(work, "brief-epoxy", 17)
    window = said.closes_at - said.likely_at
    assert timedelta() < window and said.latest_at > said.ready_at
    assert abs(said.closes_at - said.ready_at - window / 3) <= timedelta(seconds=1)
    sure = scraped(work, "slow-pva", 20)
    assert sure.ready_at == sure.latest_at < sure.closes_at


def test_squeeze_out_in_air_that_is_surely_warm_enough_keeps_a_third_of_its_window(work):
    """Not below 10 °C: a sensor that reads 11.5 °C may be 1 °C off."""
    brief = EPOXY | {"name": "Brief epoxy", "scrape_to_s": "3 h"}
    set_sheet(work.call(), kind="glue", key="brief-epoxy", data=brief)
    wait = clamped(work, "brief-epoxy")
    beads = Wait.objects.get(stage__piece=wait.stage.piece, kind="scrape", step=Wait.Step.RUNNING)
    air(work, beads.since - 3 * HOUR, [11.5] * 12)
    said = estimate(beads)
    window = said.closes_at - said.likely_at
    assert timedelta() < window and said.ready_at < said.latest_at
    assert abs(said.closes_at - said.ready_at - window / 3) <= timedelta(seconds=1)


def test_squeeze_out_that_may_stand_still_in_the_cold_is_told_when_it_is_sure(work):
    """Not below 10 °C: at 8 °C it stands still by the trade's rule, or goes on slowly."""
    wait = clamped(work)
    beads = Wait.objects.get(stage__piece=wait.stage.piece, kind="scrape", step=Wait.Step.RUNNING)
    air(work, beads.since - 3 * HOUR, [20, 20, 20, 8, 8, 8, 8, 20, 20])
    said = estimate(beads)
    assert said.ready_at == said.latest_at > said.likely_at


def moments(estimate: WaitEstimate) -> dict[str, datetime]:
    """Return when each kind of reminder comes by this estimate."""
    return {key: at for key, kind in WAIT_KINDS.items() if (at := kind.moment(estimate))}


def test_of_a_window_that_may_be_over_before_it_opens_nothing_is_told_ahead_of_its_opening():
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    coat = Wait(kind="recoat")
    sure = WaitEstimate(wait=coat, ready_at=noon, closes_at=noon + 2 * HOUR)
    assert moments(sure) == {"window opens": noon, "window closes soon": noon + 105 * MINUTE}
    unsure = WaitEstimate(wait=coat, likely_at=noon - HOUR, ready_at=noon, closes_at=noon - 2 * HOUR)
    assert moments(unsure) == {"window opens": noon}


def test_squeeze_out_of_which_no_moment_is_sure_is_looked_at_when_it_is_likely(work):
    unclamp = clamped(work)
    piece, since = unclamp.stage.piece, unclamp.since
    air(work, since - 2 * HOUR, [20, 20, 14, 10.5])  # below 10 °C it may stand still without limit
    wait = Wait.objects.get(stage__piece=piece, kind="scrape")
    known = estimate(wait)
    assert known.likely_at < known.closes_at < known.ready_at == known.latest_at
    kinds = dict(wait.reminders_due.order_by("due_at").values_list("kind", "due_at"))
    assert kinds == {"may be ready": known.likely_at, "window opens": known.ready_at}
    work.now = known.likely_at - HOUR
    with pytest.raises(GateShut):
        work.start(piece, "scrape")
    work.now = known.likely_at
    (shown,) = [r for r in reminders_due(now=work.now, person=work.by.id) if r["wait"] == wait.id]
    assert shown["kind"] == "may be ready"
    call = work.call()
    acknowledge_reminder(call, wait=wait.id, kind="may be ready", person=work.by.id)
    assert not wait.reminders_due.filter(kind="may be ready").exists()
    work.start(piece, "scrape")
