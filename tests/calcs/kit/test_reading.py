"""Reading of typed amounts, counts, lists and woods: one number, plain digits, the units a shop types."""

import doctest
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.asking.unit_words
from calcs.asking.field_types import Habit, Length, Many, Number, Whole
from calcs.asking.figure_wording import US_UNITS
from calcs.asking.unit_words import factor, split_amount, unit_names
from calcs.catalogue import run
from calcs.kit.errors import CalcError, Unknown, Unreadable
from calcs.kit.units import inches

US, METRIC = Habit(), Habit(length="mm", temperature="C")
KEPT = ("kg", "g", "L", "mL", "m²", "kPa", "MPa", "N", "N·m", "kg/m³")


def amount(typed, kept, habit=US):
    return Number("amount", "0", "100000", kept).read(typed, "amount", habit)


# NIST SP 811 (2008), appendix B.8 and B.9: avoirdupois pound 0.45359237 kg and ounce 28.34952 g, foot squared
# 0.09290304 m², US gallon 3.785412 L, quart 0.9463529 L, pint 0.4731765 L, fluid ounce
# 29.57353 mL, psi 6.894757 kPa.
@pytest.mark.parametrize("typed, kept, value", [
    ("5 lb", "kg", "2.26796185"), ("5 lbs", "kg", "2.26796185"), ("5LBS", "kg", "2.26796185"),
    ("1 pound", "kg", "0.45359237"), ("16 oz", "kg", "0.45359237"), ("500 g", "kg", "0.5"),
    ("10 ft²", "m²", "0.9290304"), ("10 ft2", "m²", "0.9290304"), ("10 sq ft", "m²", "0.9290304"),
    ("10 sq. ft.", "m²", "0.9290304"), ("10 square feet", "m²", "0.9290304"), ("2 m2", "m²", "2"),
    ("1 qt", "L", "0.9463529"), ("2 quarts", "L", "1.892706"), ("1 pt", "L", "0.4731765"),
    ("1 gal", "L", "3.785412"), ("2 gallons", "L", "7.570824"), ("1 l", "L", "1"), ("1 litre", "L", "1"),
    ("2 liters", "L", "2"), ("750 ml", "L", "0.75"), ("8 fl oz", "mL", "236.5882"),
    ("8 fl. oz", "mL", "236.5882"), ("0.5 qt", "mL", "473.1765"), ("150 psi", "kPa", "1034.214"),
    ("1 MPa", "kPa", "1000"),
    ("12", "L", "45.42494"), ("12.", "g", "340.1943"), (".5 kg", "kg", "0.5"),
])  # fmt: skip
def test_an_amount_takes_the_units_a_shop_types(typed, kept, value):
    assert float(amount(typed, kept)) == pytest.approx(float(value), rel=1e-6)


@pytest.mark.parametrize("typed", [
    "1 2 lb", "1 2", "1_0", "1_0 lb", "٣", "٣ lb", "１２ lb", "1/2 lb", "2 1/2", "1e3", "+-1", "lb", "lb 5",
    "5 lb 3", "5 lb oz", "5 stone", "5 lb/ft", "5 gal", "NaN", "Infinity", "--5", "5 -",
])  # fmt: skip
def test_what_is_not_one_amount_is_refused_and_never_joined(typed):
    with pytest.raises(Unreadable) as refused:
        amount(typed, "kg")
    assert refused.value.field == "amount" and typed in str(refused.value) and refused.value.allowed


def test_a_comma_in_an_amount_asks_for_a_point():
    with pytest.raises(Unreadable, match="with a point, not a comma"):
        amount("5,5 lb", "kg")


def test_a_weight_in_ounces_is_not_a_volume():
    with pytest.raises(Unreadable) as refused:
        amount("8 oz", "mL")
    assert "fl oz" in refused.value.allowed and "oz is no unit here" in str(refused.value)


@given(
    st.sampled_from([(kept, name) for kept in KEPT for name in unit_names(kept)]),
    st.decimals(0, 1000, places=3),
    st.sampled_from(["", " ", "  "]),
    st.booleans(),
)
def test_every_unit_reads_back_by_its_sign(pair, number, gap, loud):
    kept, name = pair
    typed = f"{number}{gap}{name.upper() if loud else name}"
    size = factor(name, kept)
    assert size is not None and split_amount(typed)[0] == str(number)
    assert Number("x", kept=kept).read(typed, "x", METRIC) == number * size


@given(st.sampled_from(KEPT), st.decimals(0, 1000, places=3))
def test_a_bare_number_is_in_the_units_of_the_person(kept, number):
    kind = Number("x", kept=kept)
    us, size = US_UNITS[kept]
    assert kind.read(str(number), "x", METRIC) == kind.read(f"{number} {kept}", "x", US) == number
    assert kind.read(str(number), "x", US) == kind.read(f"{number} {us}", "x", METRIC) == number * size


@pytest.mark.parametrize(
    "typed", ["1_0", "٣", "１２", "1 2", "1,000", "3.0", "3.5", "", "true", "0x10", "1e2"]
)
def test_a_count_is_plain_digits(typed):
    with pytest.raises(Unreadable) as refused:
        Whole("how many", 0, 10_000).read(typed, "count", US)
    assert refused.value.field == "count" and refused.value.allowed == "0 to 10000"


@given(st.integers(0, 10_000), st.sampled_from(["", " "]))
def test_a_count_reads_back(number, gap):
    assert Whole("how many", 0, 10_000).read(f"{gap}{number}{gap}", "count", US) == number


PLACES = Many("places", Length("place", 0, inches(100)), 1, 9)


@pytest.mark.parametrize("typed", ["6,5", "6,5, 6,5", "4,16,28", "1, 2,5", "1,500", "6,5 in"])
def test_a_comma_that_may_be_a_decimals_is_not_taken_for_the_end_of_an_entry(typed):
    with pytest.raises(Unreadable, match="may be one number or two") as refused:
        PLACES.read(typed, "places", US)
    assert refused.value.field == "places" and "with a space for two" in refused.value.allowed


@pytest.mark.parametrize("typed, read", [
    ("6, 5", ("6", "5")), ("6.5,7.5", ("13/2", "15/2")), ("2 1/2,3", ("5/2", "3")), ("6in,5in", ("6", "5")),
    ('6",5"', ("6", "5")), ("6 ,5", ("6", "5")), ("6\n, 5", ("6", "5")),
])  # fmt: skip
def test_a_list_takes_commas_that_can_only_part_entries(typed, read):
    assert PLACES.read(typed, "places", US) == tuple(inches(each) for each in read)


@given(st.lists(st.integers(0, 6400), min_size=1, max_size=9))
def test_a_list_of_lengths_reads_back(sixty_fourths):
    asked = ", ".join(f"{n // 64} {n % 64}/64" for n in sixty_fourths)
    assert PLACES.read(asked, "places", US) == tuple(n * 3175 for n in sixty_fourths)


def test_a_decimal_comma_in_a_row_is_refused_and_not_taken_for_a_correction():
    """Before, ``3 d, 9,5`` was a reading of 9 % with a correction of 5 %."""
    given_ = {"readings": "0 s, 9.6; 3 d, 9,5", "thickness": "2", "rh_pct": "40"}
    with pytest.raises(Unreadable, match="9,5 may be one number or two") as refused:
        run("settling", given_, US)
    assert refused.value.field == "readings"


@pytest.mark.parametrize("name", ["weight", "lifting", "clamping"])
def test_a_wood_outside_the_table_is_read_and_says_what_cannot_be_figured(name):
    given_ = {"length": "60", "width": "32", "thickness": "1 1/2", "species": "Ipe (not in the table)"}
    more = {"clamping": {"outer": "6 1/2", "glue": "pva"}}.get(name, {})
    with pytest.raises(Unknown, match="no figures for Ipe in the table: coefficients and density missing"):
        run(name, given_ | more, US)


@pytest.mark.parametrize(
    "typed", ["ipe", "(not in the table)", "i" * 80 + " (not in the table)", "i\u202epe (not in the table)"]
)
def test_a_wood_without_a_name_or_a_mark_is_refused(typed):
    with pytest.raises(CalcError) as refused:
        run("weight", {"length": "60", "width": "32", "thickness": "1", "species": typed}, US)
    assert refused.value.field == "species" and refused.value.allowed


@pytest.mark.parametrize("typed", ["1_0", "٣", "1e5"])
def test_a_number_of_a_product_sheet_is_plain_digits(typed):
    from calcs.materials.product_sheets import glue_classes, glue_from

    values = {**vars(glue_classes()["pva"]), "source": {}, "spread_g_m2": typed}
    with pytest.raises(Unreadable) as refused:
        glue_from(values)
    assert refused.value.field == "spread_g_m2"


def test_docstring_examples():
    assert doctest.testmod(calcs.asking.unit_words).failed == 0


def test_a_negative_amount_keeps_its_sign():
    assert Number("x", "-5", "5", "%").read("-2.5 %", "x", US) == D("-2.5")
