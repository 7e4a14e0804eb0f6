"""Force of clamps: a woodworking magazine's test of May 2010 (means of two editors), and the worked example
of another of September 2021: 1 in boards 25 in long at 150 psi take 3,750 lb. Half of a newton is allowed, to
which we tell a force.
"""

from decimal import Decimal

import pytest

from calcs.glue_up.clamping import clamping
from calcs.glue_up.clamping_inputs import Panel
from calcs.glue_up.pressure import KPA_PER_PSI, N_PER_LBF, clamp_force
from calcs.kit.units import inches
from calcs.materials.product_sheets import glue_classes
from tests.published.printed import rows

TEST = "woodworking magazine, test of clamps (2010)"
EXAMPLE = "woodworking magazine, worked example of clamping force (2021)"
PANEL = Panel(
    width_len=inches(24),
    length_len=inches(25),
    thickness_len=inches(1),
    outer_len=inches(6),
    glue=glue_classes()["pva"],
    pressure_kpa=150 * KPA_PER_PSI,
)


@pytest.mark.parametrize("row", rows("clamp_test"), ids=lambda row: row["kind"])
def test_the_middle_of_the_range_of_a_kind(agrees, row):
    force = clamp_force(row["kind"])
    agrees(
        calculation="clamping",
        kind="table",
        ours=(force.least_n + force.most_n) / 2 / N_PER_LBF,
        printed=row["lbf_mean"],
        within=0,
        source=TEST,
        seen=row["provenance"],
        unit="lbf",
    )


def test_force_of_a_joint(agrees):
    plan = clamping(PANEL)
    agrees(
        calculation="clamping",
        kind="computed",
        ours=plan.force_least_n / N_PER_LBF,
        printed="3750",
        within=Decimal("0.5") / N_PER_LBF,
        source=EXAMPLE,
        seen="read",
        unit="lbf",
    )
