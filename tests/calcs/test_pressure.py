from decimal import Decimal

import pytest

from calcs.errors import Unknown
from calcs.pressure import CLAMP_KINDS, KPA_PER_PSI, clamp_force, wanted
from calcs.sheets import glue_classes
from tests.calcs.printed import rows

GLUES = glue_classes()
# An adhesive maker's gluing guide, undated (read), by groups of species; rows in tables/pressures.csv. The
# condition names species, put here under the names of the tables.
GUIDE = {
    row["condition"].split(":")[0]: (Decimal(row["min"]), Decimal(row["max"]))
    for row in rows("pressures")
    if "species in the guide" in row["note"]
}
NAMED = [
    *((name, "low density") for name in ("eastern white pine", "yellow-poplar", "American basswood")),
    *((name, "low density") for name in ("western redcedar",)),
    *((name, "medium density") for name in ("black cherry", "red maple", "silver maple", "walnut")),
    *((name, "high density") for name in ("red oak", "white oak", "yellow birch", "hard maple", "white ash")),
]


@pytest.mark.parametrize("name, group", NAMED)
def test_pressure_is_the_guides_for_the_species_it_names(name, group):
    found = wanted(GLUES["pva"], name)
    least, most = GUIDE[group]
    assert (found.least_kpa, found.most_kpa) == (least * KPA_PER_PSI, most * KPA_PER_PSI)
    assert not found.contact and "(read)" in found.source and "common practice" in found.source


# tables/pressures.csv, epoxy: 0 to 15 psi, contact only (common practice, no source).
def test_epoxy_wants_contact_only_whatever_the_wood():
    (row,) = [row for row in rows("pressures") if row["adhesive_class"] == "epoxy"]
    found = wanted(GLUES["epoxy"], "")
    assert found.contact and found.most_kpa == Decimal(row["max"]) * KPA_PER_PSI
    assert found.source == "common practice, no source"


# tables/clamping_practice.csv, clamp_force_hand: bar or pipe 500-1500, parallel jaw 800-1500, light 100-300.
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
