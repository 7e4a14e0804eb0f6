from decimal import Decimal

import pytest

from calcs.glue_up.pressure import CLAMP_KINDS, KPA_PER_PSI, N_PER_LBF, clamp_force, wanted
from calcs.kit.errors import Unknown
from calcs.materials.product_sheets import glue_classes
from tests.published.printed import rows

GLUES = glue_classes()
BARS = ("I-beam bar", "pipe", "aluminium bar")


# tests/published/data/pressures.csv, epoxy: 0 to 15 psi, contact only (common practice, no source).
def test_epoxy_wants_contact_only_whatever_the_wood():
    (row,) = [row for row in rows("pressures") if row["adhesive_class"] == "epoxy"]
    found = wanted(GLUES["epoxy"], "")
    assert found.contact and found.most_kpa == Decimal(row["max"]) * KPA_PER_PSI
    assert found.source == "common practice, no source"


# A magazine's test (read, data/clamp_test.csv): the weakest gave 60 % of the mean, the strongest 140 %.
def test_force_of_a_kind_is_what_people_gave_in_the_test():
    tested = {row["kind"]: Decimal(row["lbf_mean"]) for row in rows("clamp_test")}
    for kind, mean in tested.items():
        force = clamp_force(kind)
        assert force.least_n / N_PER_LBF == mean * Decimal("0.6")
        assert force.most_n / N_PER_LBF == mean * Decimal("1.4")
        assert "(read)" in force.source
    usual = clamp_force("bar or pipe")
    assert usual.least_n / N_PER_LBF == min(tested[each] for each in BARS) * Decimal("0.6")
    assert usual.most_n / N_PER_LBF == max(tested[each] for each in BARS) * Decimal("1.4")


def test_kinds_that_nobody_tested_say_so():
    for kind in ("F-style", "hand screw", "light"):
        assert "no test found" in clamp_force(kind).source and "no source" in clamp_force(kind).source


def test_kinds_go_from_the_strongest_to_the_weakest():
    most = [clamp_force(kind).most_n for kind in CLAMP_KINDS if kind != "bar or pipe"]
    assert most == sorted(most, reverse=True)


def test_a_wood_without_gravity_is_refused():
    with pytest.raises(Unknown) as caught:
        wanted(GLUES["pva"], "apple")
    assert caught.value.field == "species"
