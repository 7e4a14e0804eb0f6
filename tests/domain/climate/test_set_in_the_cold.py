"""Cold before a joint has set: it is spoilt, or stands still, by its glue."""

import pytest

from jobs.core.errors import NotYet
from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.workshop.commands import set_sheet
from tests.domain.climate.waits import HOUR, air, clamped, estimate
from tests.shop_fixtures import (
    QUICK_GLUE,
    measured,
)

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def test_a_joint_that_fell_below_its_least_is_suspect_for_pva_and_paused_for_epoxy(work):
    pva, epoxy = clamped(work, "slow-pva"), clamped(work)
    for wait in (pva, epoxy):
        air(work, wait.since - HOUR, [20, 20, 4, 4, 4, 4])
    assert estimate(pva).suspect and estimate(pva).ready_at is None
    assert "before it had set" in estimate(pva).reason
    assert not estimate(epoxy).suspect and estimate(epoxy).paused
    work.now = pva.since + 30 * HOUR
    with pytest.raises(NotYet, match="before it had set"):
        finish_wait(work.call(), wait=pva.id)


def test_cold_after_it_has_set_spoils_nothing(work):
    wait = clamped(work, "slow-pva")
    air(work, wait.since - HOUR, [20] * 8 + [4] * 6)
    assert not estimate(wait).suspect and estimate(wait).ready_at <= wait.since + 6 * HOUR


# By the vapour of 1.818 kPa at 16 °C against 2.339 kPa at 20 °C (CRC Handbook, from memory) the 4 h at 20 °C
# are 4 x 2.339 / 1.818 = 5.15 h at 16 °C, both at 50 %: before that it has not set.
@pytest.mark.parametrize("warm_h, spoilt", [(4.75, True), (5.5, False)])
def test_cold_spoils_what_has_not_set_by_the_likely_time_in_its_air(work, warm_h, spoilt):
    own = {"family": "polyurethane", "water_based": False, "unclamp_s": "4 h", "machine_s": "9 h"}
    own |= {"surface_s": "12 h", "full_s": "2 d"}
    set_sheet(work.call(), kind="glue", key="slow-damp", data=QUICK_GLUE | own)
    wait = clamped(work, "slow-damp")
    hours = [n / 4 for n in range(-12, 30)]
    rows = [
        {"at": wait.since + h * HOUR, "temperature": "16" if h < warm_h else "-10", "humidity": 50}
        for h in hours
    ]
    measured(rows, source="sensor-1", temperature_unit="C", now=wait.since + 8 * HOUR)
    assert estimate(wait).suspect is spoilt
