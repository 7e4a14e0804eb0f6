"""The maker's own times at several temperatures: kept with the sheet, followed by waits that run."""

from decimal import Decimal

import pytest

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid
from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.stock.product_sheets import product
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Wait
from tests.domain.climate.waits import EPOXY, HOUR, air, clamped, estimate

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def points(step: str, *rows: tuple[str, str]) -> list[dict[str, str]]:
    return [{"step": step, "temp_c": temp, "time_s": time} for temp, time in rows]


OWN = points("unclamp", ("12", "20 h"), ("20", "12 h"))


class TestPoints:
    def test_the_makers_own_points_are_kept_with_their_version(self, work):
        set_sheet(work.call(), kind="glue", key="slow-epoxy", data={**EPOXY, "points": OWN})
        kept = product("glue", "slow-epoxy")
        assert [(p.temp_c, p.time_s) for p in kept.points] == [(Decimal(12), 72000), (Decimal(20), 43200)]
        set_sheet(work.call(), kind="glue", key="slow-epoxy", data=EPOXY)
        assert product("glue", "slow-epoxy").points == ()

    def test_a_running_wait_follows_the_new_sheet_and_a_finished_one_keeps_its_own(self, work):
        old, wait = clamped(work), clamped(work)
        work.now = old.since + 30 * HOUR
        finish_wait(work.call(), wait=old.id)
        air(work, wait.since - HOUR, [12] * 40)
        # 12 h at 20 °C are 12 h x exp(6000 (1/285.15 - 1/293.15)) = 21.3 h at 12 °C; the maker says 20 h.
        assert (estimate(wait).likely_at - wait.since) / HOUR == pytest.approx(21.3, abs=0.6)
        set_sheet(work.call(), kind="glue", key="slow-epoxy", data={**EPOXY, "points": OWN})
        assert (estimate(wait).likely_at - wait.since) / HOUR == pytest.approx(20, abs=0.5)
        assert estimate(wait).reason.endswith("; by version 2 of the sheet")
        versions = dict(Wait.objects.filter(id__in=(old.id, wait.id)).values_list("id", "basis"))
        assert [versions[w.id]["sheet_version"] for w in (old, wait)] == [1, 2]


class TestPointsRefused:
    @pytest.mark.parametrize(
        "wrong",
        [
            points("unclamp", ("12", "20 h")),
            points("unclamp", ("12", "2 h"), ("20", "3 h")),
            points("recoat_from", ("12", "2 h"), ("20", "1 h")),
            [{"step": "unclamp", "temp_c": "12"}],
            "12 h",
        ],
    )
    def test_points_that_no_product_can_have_are_refused(self, work, wrong):
        with pytest.raises((Invalid, CalcError)) as refused:
            set_sheet(work.call(), kind="glue", key="slow-epoxy", data={**EPOXY, "points": wrong})
        assert refused.value.field.startswith("points")
