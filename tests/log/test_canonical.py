"""Canonical JSON: one text for one value, and what it refuses."""

import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from jobs.core.canonical_json import dumps, plain, read_time, time_text
from jobs.core.errors import Invalid


def test_names_are_ordered_by_utf_16_code_units():
    # RFC 8785 (2020), section 3.2.3, from memory: the order that its example gives. In UTF-16 the face
    # (a surrogate pair, D83D DE00) comes before the Hebrew letter (FB33), in code points it would not.
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    ordered = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(dumps(dict.fromkeys(names, 0)))) == ordered


def test_no_space_and_only_the_escapes_json_needs():
    # RFC 8785 (2020), section 3.2.2.2, from memory: two-character escapes where there are any, lower-case
    # \u00xx for other controls, everything else as it is.
    assert (
        dumps({"b": [1, True, None], "a": 'é"\\\n\x0f/'}) == '{"a":"é\\"\\\\\\n\\u000f/","b":[1,true,null]}'
    )


@pytest.mark.parametrize(
    "value, text",
    [
        (Decimal("2.50"), '"2.50"'),
        (Decimal("1E+3"), '"1000"'),
        (Decimal("1E-7"), '"0.0000001"'),
        (date(2026, 3, 2), '"2026-03-02"'),
        (datetime(2026, 3, 2, 12, tzinfo=UTC), '"2026-03-02T12:00:00.000000Z"'),
        (datetime(2026, 3, 2, 12, tzinfo=timezone(timedelta(hours=2))), '"2026-03-02T10:00:00.000000Z"'),
        (UUID(int=7), '"00000000-0000-0000-0000-000000000007"'),
        ((1, 2), "[1,2]"),
        (2**53 - 1, "9007199254740991"),
        (-(2**53) + 1, "-9007199254740991"),
    ],
)
def test_values_that_json_has_no_type_for(value, text):
    assert dumps(value) == text


@pytest.mark.parametrize(
    "value, allowed",
    [
        (1.5, "JSON values"),
        (float("nan"), "JSON values"),
        (float("inf"), "JSON values"),
        (Decimal("NaN"), "finite numbers"),
        (Decimal("-Infinity"), "finite numbers"),
        ("a\x00b", "printable text"),
        ("\ud83d", "well-formed Unicode"),
        ("\udc00x", "well-formed Unicode"),
        # RFC 7493 (I-JSON, 2015), section 2.2, from memory: integers from -(2^53)+1 to (2^53)-1.
        (2**53, "up to 2^53 - 1"),
        (-(2**53), "up to 2^53 - 1"),
        (10**400, "up to 2^53 - 1"),
        (datetime(2026, 3, 2, 12), "aware times"),
        (b"bytes", "JSON values"),
        ({1, 2}, "JSON values"),
        (object(), "JSON values"),
    ],
)
def test_what_is_not_the_same_everywhere_is_refused(value, allowed):
    with pytest.raises(Invalid) as refused:
        dumps(value)
    assert refused.value.allowed == allowed


def test_a_refusal_names_where_the_value_stands():
    with pytest.raises(Invalid) as refused:
        dumps({"lines": [{"price": 1}, {"price": 1.5}]}, field="body")
    assert refused.value.field == "body.lines[1].price"


@pytest.mark.parametrize("name", ["a\x00", "\ud800", 1, None])
def test_names_are_checked_like_values(name):
    with pytest.raises(Invalid):
        dumps({name: 1})


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(
        st.characters(exclude_characters="\x00", exclude_categories=["Cs"])
    ),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
        st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"])), inner, max_size=4
    ),
    max_leaves=12,
)  # fmt: skip


@given(JSON_VALUES)
def test_reading_gives_the_value_back_and_writing_the_same_text(value):
    text = dumps(value)
    assert json.loads(text) == value
    assert dumps(json.loads(text)) == text


@given(JSON_VALUES)
def test_any_value_is_written_as_the_library_for_rfc_8785_writes_it(value):
    assert dumps(value) == rfc8785.dumps(value).decode()


@given(st.datetimes(min_value=datetime(1, 1, 3), max_value=datetime(9999, 12, 29), timezones=st.timezones()))
def test_a_time_survives(moment):
    assert read_time(time_text(moment)) == moment.astimezone(UTC)  # a skipped hour equals nothing itself
    assert plain(moment) == time_text(moment)


def test_a_time_beyond_the_calendar_is_refused():
    with pytest.raises(Invalid):
        time_text(datetime.min.replace(tzinfo=timezone(timedelta(hours=1))))
