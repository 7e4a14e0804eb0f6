import doctest
from decimal import Decimal

import pytest

import calcs.materials.species
from calcs.kit.errors import Unknown
from calcs.materials.species import species, species_list


@pytest.mark.parametrize(
    "name, full_name",
    [
        ("black walnut", "black walnut"),
        ("WALNUT", "black walnut"),
        ("white  oak", "white oak (commercial)"),
        ("hard maple", "sugar maple"),
        ("black cherry", "black cherry"),
    ],
)
def test_species_by_name_or_shop_name(name, full_name):
    assert species(name).name == full_name


@pytest.mark.parametrize("name, near", [("wallnut", "walnut"), ("white oke", "white oak")])
def test_an_unknown_species_lists_the_nearest(name, near):
    with pytest.raises(Unknown) as caught:
        species(name)
    assert caught.value.field == "species" and near in caught.value.allowed


@pytest.mark.parametrize("name", ["", "x" * 100_000, "oak\x00", None, 7])
def test_no_species_at_all(name):
    with pytest.raises(Unknown) as caught:
        species(name)
    assert len(str(caught.value)) < 3000


def test_every_species_once_with_its_source():
    names = [wood.name for wood in species_list()]
    assert len(names) == len(set(names)) == 64
    for wood in species_list():
        assert Decimal(0) < wood.radial < wood.tangential < Decimal("0.006")
        assert wood.movement_source and bool(wood.gravity_source) == (wood.gravity is not None)


def test_a_shop_name_means_one_species():
    aliases = [alias.casefold() for wood in species_list() for alias in wood.aliases]
    names = [wood.name.casefold() for wood in species_list()]
    assert len(aliases) == len(set(aliases)) and not set(aliases) & set(names)


def test_docstring_examples():
    assert doctest.testmod(calcs.materials.species).failed == 0
