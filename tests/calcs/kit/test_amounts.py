import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.kit.amounts
from calcs.kit.amounts import (
    format_duration,
    format_temperature,
    parse_duration,
    parse_percent,
    parse_temperature,
)
from calcs.kit.errors import OutOfRange, Unknown, Unreadable


# NIST SP 811, 2008, appendix B.9: t/°C = (t/°F - 32)/1.8; water freezes at 32 °F and boils at 212 °F.
@pytest.mark.parametrize(
    "text, unit, celsius",
    [
        ("68 F", "C", "20.00"),
        ("68 °F", "C", "20.00"),
        ("68", "F", "20.00"),
        ("20 °C", "F", "20.00"),
        ("20", "C", "20.00"),
        ("32f", "F", "0.00"),
        ("212", "F", "100.00"),
        ("-40", "F", "-40.00"),
        ("−5.5", "C", "-5.50"),
        ("70", "F", "21.11"),
    ],
)
def test_temperatures(text, unit, celsius):
    assert parse_temperature(text, unit=unit) == Decimal(celsius)


@pytest.mark.parametrize("text", ["", "warm", "20 K", "1e1", "nan", "20,5", "20 C F", "9" * 50, None])
def test_text_that_is_no_temperature(text):
    with pytest.raises(Unreadable) as caught:
        parse_temperature(text, unit="C", field="shop_temp")
    assert caught.value.field == "shop_temp"


def test_a_temperature_no_shop_has():
    with pytest.raises(OutOfRange) as caught:
        parse_temperature("400", unit="F", field="shop_temp")
    assert caught.value.allowed == "-58 °F to 302 °F"


def test_the_persons_unit_is_f_or_c():
    with pytest.raises(Unknown):
        parse_temperature("20", unit="K")


@pytest.mark.parametrize(
    "celsius, unit, text",
    [
        ("20", "F", "68 °F"),
        ("21.11", "F", "70 °F"),
        ("21.11", "C", "21.1 °C"),
        ("-0.01", "C", "0 °C"),
        ("100", "C", "100 °C"),
    ],
)
def test_temperatures_are_written_short(celsius, unit, text):
    assert format_temperature(Decimal(celsius), unit) == text


@given(st.decimals(min_value=-40, max_value=100, places=1), st.sampled_from("FC"))
def test_temperatures_read_back(celsius, unit):
    again = parse_temperature(format_temperature(celsius, unit), unit=unit)
    assert abs(again - celsius) <= Decimal("0.04")  # half of 0.1 °F is 0.028 °C, and 0.005 for the rounding


@pytest.mark.parametrize(
    "text, seconds",
    [
        ("20 s", 20),
        ("45 min", 45 * 60),
        ("4 h", 4 * 3600),
        ("3 d", 3 * 86400),
        ("1 h 30 min", 5400),
        ("1h30min", 5400),
        ("1.5 hours", 5400),
        ("0 s", 0),
        ("2 days 1 s", 172801),
    ],
)
def test_durations(text, seconds):
    assert parse_duration(text) == seconds


@pytest.mark.parametrize(
    "text, why",
    [
        ("20", "needs its unit"),
        ("1 h 30", "needs its unit"),
        ("", "cannot be read"),
        ("h", "needs its unit"),
        ("30 min 1 h", "longest first"),
        ("1 h 1 h", "each once"),
        ("3 fortnights", "units are"),
        ("0.5 s", "whole number of seconds"),
        ("-4 h", "needs its unit"),
        ("1e3 s", "units are"),
        ("nan h", "needs its unit"),
    ],
)
def test_text_that_is_no_duration(text, why):
    with pytest.raises(Unreadable, match=why) as caught:
        parse_duration(text, field="unclamp")
    assert (caught.value.field, caught.value.value) == ("unclamp", text)


def test_a_duration_outside_its_range():
    with pytest.raises(OutOfRange) as caught:
        parse_duration("5000 d", field="full_cure")
    assert caught.value.allowed == "0 s to 3650 d"


@given(st.integers(min_value=0, max_value=3650 * 86400))
def test_durations_read_back_exactly(seconds):
    assert parse_duration(format_duration(seconds)) == seconds


@pytest.mark.parametrize("text, value", [("8", "8"), ("8.5 %", "8.5"), ("0%", "0"), ("100", "100")])
def test_percentages(text, value):
    assert parse_percent(text) == Decimal(value)


@pytest.mark.parametrize(
    "text, error", [("-1", Unreadable), ("101", OutOfRange), ("8 pct", Unreadable), ("", Unreadable)]
)
def test_text_that_is_no_percentage(text, error):
    with pytest.raises(error) as caught:
        parse_percent(text, field="humidity")
    assert caught.value.field == "humidity"


def test_docstring_examples():
    assert doctest.testmod(calcs.kit.amounts).failed == 0
