"""A wood outside the tables, by the figures of a published sheet."""

import doctest
from decimal import Decimal

import pytest

import calcs.materials.own_woods
from calcs.asking.field_types import Habit
from calcs.catalogue import run
from calcs.finish.layers import layering
from calcs.kit.errors import CalcError, OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, to_inches
from calcs.materials.own_woods import WoodSheet, wood_of
from calcs.materials.product_sheets import finish_classes
from calcs.materials.species import species, wood_name
from calcs.structure.across import across_grain
from calcs.wood.density import density_kg_m3
from calcs.wood.movement_inputs import MovementInputs, movement_for
from calcs.wood.stiffness import stiffness

US = Habit(length="in", temperature="F")
# Black walnut as the Wood Handbook (2010) has it: shrinkage 5.5 and 7.8 % (table 4-3), gravity 0.55 on 12 %
# volume and 1.68 million psi (table 5-3b). As an own wood it must move, weigh and bend as the tables' walnut.
WALNUT = (
    "shop walnut: gravity 0.55, tangential 7.8 %, radial 5.5 %, elasticity 1.68 Mpsi, source Wood Handbook"
)
SIZE = {"length": "60", "width": "30", "thickness": "3/2"}


def test_a_line_is_read_by_its_names_and_short_ones():
    short = species("shop walnut: G 0.55,T 7.8,R 5.5 %,E 1680000 psi, source Wood Handbook")
    long = species(WALNUT)
    assert long == short and long.name == "shop walnut" and long.group == "own"
    assert all("Wood Handbook" in told for told in (long.movement_source, long.gravity_source))
    assert "your own figures, typed" in species("x: gravity 0.5").gravity_source


@pytest.mark.parametrize("cut", ["flatsawn", "quartersawn"])
def test_it_moves_as_the_tables_wood_of_the_same_shrinkage(cut):
    moved = [
        movement_for(MovementInputs(
            size_len=inches(40), species=wood, cut=cut, mc_from_pct=Decimal(7), mc_to_pct=Decimal(11)
        )).change_len
        for wood in (WALNUT, "walnut")
    ]  # fmt: skip
    assert to_inches(abs(moved[0] - moved[1])) <= 40 * 0.000011 * 4


def test_it_weighs_and_bends_as_the_tables_wood_of_the_same_figures():
    assert density_kg_m3(WALNUT, Decimal(8)) == density_kg_m3("walnut", Decimal(8))
    assert stiffness(WALNUT).elasticity_mpa == stiffness("walnut").elasticity_mpa == 11583
    for name, more in (("weight", {}), ("sag", {"supports": "6, 54", "load": "100"}), ("lifting", {})):
        ours, tables = (run(name, {**SIZE, **more, "species": wood}, US) for wood in (WALNUT, "walnut"))
        for figure in ("each_kg", "sag_len", "later_len", "limit_kg"):
            assert ours.result.get(figure) == tables.result.get(figure)


def test_what_is_not_given_is_refused_by_name_where_it_is_needed():
    bare = "ipe: gravity 0.92"
    for ask in (
        lambda: run("movement", {"size": "40", "species": bare, "mc_from_pct": "7", "mc_to_pct": "11"}, US),
        lambda: across_grain(bare, "flatsawn"),
        lambda: stiffness(bare),
        lambda: density_kg_m3("ipe: tangential 8 %", Decimal(8)),
    ):
        with pytest.raises(Unknown) as caught:
            ask()
        assert caught.value.field == "species" and "ipe" in caught.value.detail


@pytest.mark.parametrize(
    "line, error",
    [
        ("ipe: gravity 0,92", Unreadable), ("ipe: gravity", Unreadable), ("ipe: gravity 9", OutOfRange),
        ("ipe: hardness 3000", Unreadable), ("ipe: elasticity 22", Unreadable), (": gravity 0.9", Unreadable),
        ("ipe: tangential 40 %", OutOfRange), ("ipe: gravity 0.9, g 0.8", Unreadable),
        ("ipe: basis wet", Unreadable), ("ipe: elasticity 22 N", Unreadable),
    ],
)  # fmt: skip
def test_nonsense_is_refused(line, error):
    with pytest.raises(error) as caught:
        wood_name(line)
    assert isinstance(caught.value, CalcError) and caught.value.allowed


def test_oily_wood_slows_a_drying_oil_as_teak_does():
    oil = finish_classes()["hard-wax-oil"]
    teak, oily, plain = (layering(over=oil, wood=w) for w in ("teak", "ipe: g 0.92, oily", "ipe: g 0.92"))
    assert [w.removeprefix("ipe") for w in oily.warnings] == [w.removeprefix("teak") for w in teak.warnings]
    assert oily.warnings and not plain.warnings


def test_a_sheet_says_its_line():
    sheet = WoodSheet(
        key="ipe", name="ipe", gravity=Decimal("0.92"), gravity_basis="green volume",
        tangential_pct=Decimal(8), radial_pct=None, elasticity_mpa=Decimal(22000), oily=True,
        source={"gravity": "a fact sheet"},
    )  # fmt: skip
    wood = wood_of(sheet.line)
    assert (wood.gravity, wood.gravity_basis, wood.radial) == (Decimal("0.92"), "green volume", None)
    assert wood.elasticity_mpa == 22000 and wood.oily and wood.gravity_source.endswith("a fact sheet")


def test_weight_takes_a_specific_gravity_itself():
    """Gravity 0.66 at 12 %: 0.66 x 1.12 = 739 kg/m³ (Wood Handbook ch. 4: density = 1000 G (1 + M))."""
    found = run("weight", {**SIZE, "gravity": "0.66", "mc_pct": "12"}, US)
    assert found.result["density_kg_m3"]["value"] == "739"
    for given in ({}, {"gravity": "0.66", "species": "walnut"}):
        with pytest.raises(Unreadable) as caught:
            run("weight", {**SIZE, **given}, US)
        assert caught.value.field == "species"


def test_docstring_examples():
    assert doctest.testmod(calcs.materials.own_woods).failed == 0
