from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.length_reading import parse_length
from calcs.kit.units import (
    MOST_UNITS,
    UNITS_PER_INCH,
    UNITS_PER_MM,
    check_length,
    format_about,
    format_length,
    inches,
    mm,
    to_inches,
    to_metres,
    to_mm,
)

SIZES = st.integers(min_value=0, max_value=100 * 12 * UNITS_PER_INCH)


# NIST SP 811, 2008, appendix B.8: 1 inch = 25.4 mm, 1 foot = 304.8 mm, both exact.
def test_the_two_scales_agree_with_the_definition_of_the_inch():
    assert UNITS_PER_INCH * 10 == UNITS_PER_MM * 254
    assert inches(12) == mm("304.8")
    assert to_mm(inches(1)) == Fraction(254, 10)


# NIST SP 811, 2008, appendix B.8: 25.4 mm to the inch, exact; 25.4 x 13/32 = 10.31875, by hand.
@pytest.mark.parametrize(
    "fraction, millimetres", [("13/32", "10.31875"), ("1/64", "0.396875"), ("5/8", "15.875")]
)
def test_fractions_of_an_inch_are_exact(fraction, millimetres):
    assert inches(fraction) == mm(millimetres)


@pytest.mark.parametrize(
    "text, expected",
    [
        ("32", inches(32)),
        ("6 13/32", inches("205/32")),
        ("6-13/32", inches("205/32")),
        ("6.4", inches("6.4")),
        (".5", inches("0.5")),
        ("8/4", inches(2)),
        ('1 3/4"', inches("1.75")),
        ("1½", inches("1.5")),
        ("½", inches("0.5")),
        ("6 13⁄32", inches("205/32")),
        ("5'2\"", inches(62)),
        ("5′ 2½″", inches("62.5")),
        ("5'-2 1/2\"", inches("62.5")),
        ("5 ft 2 in", inches(62)),
        ("5'2''", inches(62)),
        ("5.5'", inches(66)),
        ("32 IN", inches(32)),
        ("812 mm", mm(812)),
        ("81.2cm", mm(812)),
        ("1.2 m", mm(1200)),
        (' 6 13/32" ', inches("205/32")),
        ('≈ 6 13/32"', inches("205/32")),
        ("0", 0),
    ],
)
def test_the_forms_a_shop_writes(text, expected):
    length = parse_length(text, unit="in")
    assert (length.units, length.typed, length.unit) == (expected, text.strip(), "in")


def test_a_bare_number_takes_the_persons_unit():
    assert parse_length("812", unit="mm").units == mm(812)
    assert parse_length('32"', unit="mm").units == inches(32)


def test_what_is_no_whole_number_of_units_goes_to_the_nearest():
    # 203200 / 3 = 67733.33
    assert parse_length("1/3", unit="in").units == 67733


@pytest.mark.parametrize(
    "text, why",
    [
        ("", "cannot be read"),
        ("   ", "cannot be read"),
        ("1/0", "zero below the line"),
        ("3 1/0", "zero below the line"),
        ("81,2 mm", "not a comma"),
        ("1,250", "not a comma"),
        ("nan", "cannot be read"),
        ("inf", "cannot be read"),
        ("1e3", "cannot be read"),
        ("0x10", "cannot be read"),
        ("--5", "cannot be read"),
        ("6 14/8", "less than one"),
        ("5'13", "less than 12"),
        ("5.5' 2", "feet are whole"),
        ("5' mm", "the inches are missing"),
        ("5'2 mm", "after feet come inches"),
        ("1/2 mm", "a fraction is in inches"),
        ("1 2", "unknown form"),
        ("1.2.3", "unknown form"),
        ("12 furlong", "no unit of length"),
        ("٣", "cannot be read"),
        ("3\x00", "cannot be read"),
        ("3\n4", "cannot be read"),
        ("9" * 41, "cannot be read"),
        ("9" * 1_000_000, "cannot be read"),
    ],
)
def test_text_that_is_no_length_is_refused(text, why):
    with pytest.raises(Unreadable, match=why) as caught:
        parse_length(text, unit="in", field="width")
    assert (caught.value.field, caught.value.value) == ("width", text)
    assert "812 mm" in caught.value.allowed
    assert len(str(caught.value)) < 300


def test_a_bare_fraction_is_refused_in_a_millimetre_shop():
    with pytest.raises(Unreadable, match="write the inch mark"):
        parse_length("8/4", unit="mm")


@pytest.mark.parametrize("thing", [None, 32, 3.2, b"32", ["32"]])
def test_only_text_is_read(thing):
    with pytest.raises(Unreadable):
        parse_length(thing, unit="in")


@pytest.mark.parametrize(
    "text, allowed",
    [("-1", '1" to 144"'), ("1/2", '1" to 144"'), ("12' 1\"", '1" to 144"'), ("4 m", '1" to 144"')],
)
def test_a_length_outside_the_range_is_refused(text, allowed):
    with pytest.raises(OutOfRange) as caught:
        parse_length(text, unit="in", field="width", least=inches(1), most=inches(144))
    assert (caught.value.field, caught.value.value, caught.value.allowed) == ("width", text, allowed)


def test_the_ends_of_the_range_are_inside_it():
    for text in ("1", "12'"):
        assert parse_length(text, unit="in", least=inches(1), most=inches(144)).units > 0


def test_negative_only_where_allowed():
    with pytest.raises(OutOfRange):
        parse_length("-1/4", unit="in")
    assert parse_length("-1/4", unit="in", least=inches(-1)).units == -inches("1/4")


def test_more_than_two_to_the_53_is_refused():
    with pytest.raises(OutOfRange):
        parse_length("999999999999 m", unit="mm")
    with pytest.raises(OutOfRange):
        mm(MOST_UNITS)


@pytest.mark.parametrize(
    "value", ["1e9", "nan", "", "1/0", True, None, 1.5e30, Decimal("Infinity"), Decimal("1E+999")]
)
def test_constructors_take_numbers_only(value):
    with pytest.raises(Unreadable):
        inches(value)


def test_constructors_are_exact_or_refuse():
    assert inches(Decimal("6.40625")) == inches(Fraction(205, 32)) == 1301750
    with pytest.raises(OutOfRange):
        inches(Fraction(1, 3))


@pytest.mark.parametrize("call", [lambda: parse_length("1", unit="cm"), lambda: format_length(1, "ft")])
def test_only_inches_and_millimetres_are_a_persons_unit(call):
    with pytest.raises(Unknown):
        call()


@pytest.mark.parametrize(
    "units, in_inches, in_mm",
    [
        (0, '0"', "0 mm"),
        (inches("205/32"), '6 13/32"', "≈ 162.7 mm"),
        (inches("13/32"), '13/32"', "≈ 10.3 mm"),
        (inches(2), '2"', "50.8 mm"),
        (mm(812), '≈ 31 31/32"', "812 mm"),
        (-inches("1.5"), '-1 1/2"', "-38.1 mm"),
        # Below 1/64 in = 0.396875 mm: 0.05 mm / 25.4 = 0.00197 in, 0.3 mm / 25.4 = 0.0118 in.
        (400, '≈ 0.002"', "0.05 mm"),
        (-mm("0.3"), '≈ -0.012"', "-0.3 mm"),
        (3174, '≈ 0.016"', "≈ 0.4 mm"),
        (3175, '1/64"', "≈ 0.4 mm"),
        (1, '≈ 0.000005"', "≈ 0.0001 mm"),  # 0.125 µm, the smallest: never nothing
    ],
)
def test_lengths_are_written_to_a_64th_or_a_tenth(units, in_inches, in_mm):
    assert format_length(units, "in") == in_inches
    assert format_length(units, "mm") == in_mm


# 12 43/64 in = 12.67 in = 321.9 mm; half a quarter is 1/8 in.
@pytest.mark.parametrize(
    "units, in_inches, in_mm",
    [
        (inches("811/64"), '12 3/4"', "320 mm"),
        (inches("12.125"), '12 1/4"', "310 mm"),
        (inches("12.125") - 1, '12"', "310 mm"),
        (0, '0"', "0 mm"),
    ],
)
def test_a_place_is_written_to_a_quarter_or_five(units, in_inches, in_mm):
    assert format_about(units, "in") == in_inches
    assert format_about(units, "mm") == in_mm


@given(SIZES)
def test_inches_read_back_within_half_a_64th(units):
    assert abs(parse_length(format_length(units, "in"), unit="mm").units - units) * 2 <= 3175


@given(SIZES)
def test_millimetres_read_back_within_half_a_tenth(units):
    assert abs(parse_length(format_length(units, "mm"), unit="in").units - units) * 2 <= 800


@given(st.integers(min_value=-64 * 1200, max_value=64 * 1200))
def test_whole_64ths_read_back_exactly(count):
    text = format_length(count * 3175, "in")
    assert "≈" not in text
    assert parse_length(text, unit="in", least=-MOST_UNITS).units == count * 3175


@given(st.integers(min_value=-300_000, max_value=300_000))
def test_whole_tenths_of_a_millimetre_read_back_exactly(count):
    text = format_length(count * 800, "mm")
    assert "≈" not in text
    assert parse_length(text, unit="mm", least=-MOST_UNITS).units == count * 800


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_by_name(text):
    try:
        assert 0 <= parse_length(text, unit="in", field="width").units <= MOST_UNITS
    except (Unreadable, OutOfRange) as error:
        assert error.field == "width" and error.allowed


def test_conversions():
    assert to_inches(inches(["6", "13/32"][0])) == 6
    assert to_metres(mm(1234)) == pytest.approx(1.234)


@pytest.mark.parametrize(
    "value, error, allowed",
    [
        (0, OutOfRange, '1" (25.4 mm) to 2" (50.8 mm)'),
        (1.5, Unreadable, '1" (25.4 mm) to 2" (50.8 mm)'),
        (True, Unreadable, '1" (25.4 mm) to 2" (50.8 mm)'),
        (None, Unreadable, '1" (25.4 mm) to 2" (50.8 mm)'),
    ],
)
def test_a_length_is_checked_in_words_a_shop_reads(value, error, allowed):
    with pytest.raises(error) as caught:
        check_length(value, "board_width_len", least=inches(1), most=inches(2))
    assert (caught.value.field, caught.value.allowed) == ("board_width", allowed)
    check_length(inches(1), "board_width_len", least=inches(1), most=inches(2))
