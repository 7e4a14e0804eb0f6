"""The age of a wait away from the sheet's temperature, against rows of ASTM C1074 in ``tests/published``.

Equivalent age by ASTM C1074: t_e = exp(-Q (1 / T - 1 / T_ref)) t, with absolute temperatures. By hand for Q =
5000 K: 10 °C against 20 °C is exp(-5000 (1 / 283.15 - 1 / 293.15)) = 0.5475, so 24 h count as 13.14 h; the
other sign would count them as 43.8 h.
"""

import re
from datetime import datetime, timedelta

import pytest

from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Event, Wait, WaitEstimate
from tests.published.printed import rows
from tests.shop_fixtures import QUICK, QUICK_GLUE, Work, an_owner, measured, quick_sheets

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
ONE_COLD_STRETCH = re.compile(r"(\d+) h at (\d+) C; Q=(\d+) K; reference (\d+) C")
COLD = [
    (row["id"], *found.groups(), row["answer"])
    for row in rows("maturity")
    if (found := ONE_COLD_STRETCH.fullmatch(row["inputs"])) and int(found[2]) < int(found[4])
]


@pytest.fixture
def work() -> Work:
    work = Work(an_owner())
    quick_sheets(work.call())
    return work


def glued(work: Work, *, rate_k: str, ref_c: str, unclamp_s: int) -> Wait:
    """Return the wait in clamps of a joint with a reaction-cured glue by this law."""
    own = {
        "name": "Epoxy by the law", "family": "epoxy", "water_based": False, "min_temp_c": "5",
        "rate_k": rate_k, "ref_temp_c": ref_c, "unclamp_s": unclamp_s, "machine_s": 2 * unclamp_s,
        "surface_s": 3 * unclamp_s, "full_s": 4 * unclamp_s,
    }  # fmt: skip
    set_sheet(work.call(), kind="glue", key="by-the-law", data=QUICK_GLUE | own)
    piece = work.accepted(**{**QUICK, "glue": "by-the-law"})
    work.do_until(piece, "glue-up")
    return Wait.objects.get(kind="unclamp", step=Wait.Step.RUNNING)


def steady(since: datetime, hours: int, temp_c: str) -> None:
    """Measure one temperature every hour, from a day before so that the wood has it too."""
    entries = [
        {"at": since + n * HOUR, "temperature": temp_c, "humidity": 50, "place": "shop"}
        for n in range(-24, hours + 1)
    ]
    taken = measured(entries, source="sensor-1", temperature_unit="C", now=since + (hours + 1) * HOUR)
    assert not taken.refused


def test_there_are_rows_in_the_cold():
    assert [row[0] for row in COLD] == ["M4", "M8"]


@pytest.mark.parametrize("name, hours, temp_c, rate_k, ref_c, answer", COLD)
def test_hours_in_the_cold_count_as_their_equivalent_age(
    work: Work, name: str, hours: str, temp_c: str, rate_k: str, ref_c: str, answer: str
):
    need_s = round(float(answer) * 3600)
    wait = glued(work, rate_k=rate_k, ref_c=ref_c, unclamp_s=need_s)
    steady(wait.since, int(hours), temp_c)
    likely = WaitEstimate.objects.get(wait=wait).likely_at
    assert likely is not None
    # The answer is printed to 0.001 h, 3.6 s; half of that in the cold is some 4 s.
    assert abs((likely - wait.since) - int(hours) * HOUR) <= timedelta(seconds=5)
    work.now = wait.since + int(hours) * HOUR - timedelta(seconds=1)
    finish_wait(work.call(), wait=wait.id, reason="a trial joint held")
    kept = Event.objects.filter(kind="wait_finished").last().data["air"]
    assert kept["need_s"] == need_s
    assert kept["age_s"] == pytest.approx(need_s, abs=3)
