from decimal import Decimal

import pytest

from calcs.glue_up.pressure import CLAMP_KINDS, KPA_PER_PSI, clamp_force, wanted
from calcs.kit.errors import Unknown
from calcs.materials.product_sheets import glue_classes
from tests.published.printed import rows

GLUES = glue_classes()


# tests/published/data/pressures.csv, epoxy: 0 to 15 psi, contact only (common practice, no source).
def test_epoxy_wants_contact_only_whatever_the_wood():
    (row,) = [row for row in rows("pressures") if row["adhesive_class"] == "epoxy"]
    found = wanted(GLUES["epoxy"], "")
    assert found.contact and found.most_kpa == Decimal(row["max"]) * KPA_PER_PSI
    assert found.source == "common practice, no source"


# data/clamping_practice.csv, clamp_force_hand (common practice): so many lbf by kind.
def test_force_of_each_kind_is_the_practice_of_the_reference():
    (row,) = [row for row in rows("clamping_practice") if row["topic"] == "clamp_force_hand"]
    for kind in CLAMP_KINDS:
        force = clamp_force(kind)
        lbf = [round(each / Decimal("4.4482216152605")) for each in (force.least_n, force.most_n)]
        assert f"{lbf[0]}-{lbf[1]}" in row["value"].split(kind, 1)[1].split(";")[0]
        assert "common practice, no source" in force.source


def test_a_wood_without_gravity_is_refused():
    with pytest.raises(Unknown) as caught:
        wanted(GLUES["pva"], "apple")
    assert caught.value.field == "species"
