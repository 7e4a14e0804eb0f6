import doctest
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.lumber.layout
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.lumber.layout import StripLayout, strips

SIXTY_FOURTH = 3175
TOP = StripLayout(width_len=inches(32), length_len=inches(60), widest_len=inches("13/2"))


# By hand: 32 over 6 1/2 is 4.9, so 5; 32/5 = 6.4 = 409.6/64, up to 410/64 = 6 13/32; x 5 = 32 1/32.
def test_a_top_is_divided_by_hand():
    layout = strips(TOP)
    assert (layout.count, layout.strip_len) == (5, inches("205/32"))
    assert (layout.sum_len, layout.excess_len) == (inches("1025/32"), inches("1/32"))
    assert [strip.label for strip in layout.strips] == ["A", "B", "C", "D", "E"]
    assert layout.strips[2].left_len == 2 * layout.strip_len
    assert layout.blank_len == inches(62)  # about 2 in of extra length: common practice, no source


@given(
    st.integers(min_value=inches(1), max_value=inches(150)),
    st.integers(min_value=inches(1), max_value=inches(12)),
    st.integers(min_value=0, max_value=inches(1)),
    st.sampled_from([None, "odd", "even"]),
)
def test_the_sum_is_never_short_and_hardly_over(width, widest, trim, prefer):
    layout = strips(
        StripLayout(
            width_len=width, length_len=inches(60), widest_len=widest, final_trim_len=trim, prefer=prefer
        )
    )
    assert layout.sum_len == sum(strip.width_len for strip in layout.strips) >= width + trim
    assert layout.excess_len - trim < layout.count * SIXTY_FOURTH
    assert all(strip.width_len <= widest for strip in layout.strips)
    assert layout.strip_len % SIXTY_FOURTH == 0
    assert prefer is None or layout.count % 2 == (prefer == "odd")
    assert len({strip.label for strip in layout.strips}) == layout.count


@pytest.mark.parametrize("prefer, count", [(None, 5), ("odd", 5), ("even", 6)])
def test_an_odd_or_even_number_on_request(prefer, count):
    assert strips(replace(TOP, prefer=prefer)).count == count


# The three ring directions and the triangle: common practice, no source.
@pytest.mark.parametrize(
    "direction, expected",
    [
        ("best face", ["best face up, rings as they fall"] * 3),
        ("all heart up", ["heart side up"] * 3),
        ("alternating", ["heart side up", "heart side down", "heart side up"]),
    ],
)
def test_ring_direction_is_a_choice(direction, expected):
    layout = strips(replace(TOP, width_len=inches(18), ring_direction=direction))
    assert [strip.rings for strip in layout.strips] == expected
    assert "arrow" in layout.planing and "triangle" in layout.witness
    assert "no source" in layout.source[0]


def test_actual_widths_are_taken_as_they_are():
    widths = tuple(inches(width) for width in ("29/4", "11/2", "6", "27/4", "7"))
    layout = strips(replace(TOP, actual_widths_len=widths, prefer="even"))
    assert tuple(strip.width_len for strip in layout.strips) == widths
    assert layout.excess_len == inches("1/2")  # 7 1/4 + 5 1/2 + 6 + 6 3/4 + 7 = 32 1/2
    assert layout.notes == ("wider than wanted: A, D, E", "5 strips, not an even number")


def test_actual_widths_that_fall_short_are_refused():
    with pytest.raises(OutOfRange) as caught:
        strips(replace(TOP, actual_widths_len=(inches(16), inches("31/2"))))
    assert caught.value.field == "actual_widths"
    assert '1/2" short' in str(caught.value)


def test_labels_go_on_after_z():
    layout = strips(replace(TOP, width_len=inches(60), widest_len=inches(2)))
    assert [strip.label for strip in layout.strips][24:28] == ["Y", "Z", "AA", "AB"]


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"width_len": 0}, "width", OutOfRange),
        ({"length_len": -1}, "length", OutOfRange),
        ({"widest_len": 0}, "widest", OutOfRange),
        ({"widest_len": 6.5}, "widest", Unreadable),
        ({"final_trim_len": -1}, "final_trim", OutOfRange),
        ({"trim_len": inches(25)}, "trim", OutOfRange),
        ({"actual_widths_len": ()}, "actual_widths", OutOfRange),
        ({"actual_widths_len": (0,)}, "actual_widths[1]", OutOfRange),
        ({"prefer": "few"}, "prefer", Unknown),
        ({"ring_direction": "sideways"}, "ring_direction", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field


def test_more_strips_than_anyone_would_glue():
    with pytest.raises(OutOfRange) as caught:
        strips(replace(TOP, width_len=inches(240), widest_len=inches(1)))
    assert caught.value.field == "widest" and "at least" in caught.value.allowed


def test_docstring_examples():
    assert doctest.testmod(calcs.lumber.layout).failed == 0


# By hand: 96 in less two ends of 4 in is 88 in between the shoulders; two tongues of 2 in and 2 in of extra
# length make 94 in. The ends are as long as the top is wide, with the same extra length.
def test_strips_between_breadboard_ends_are_cut_to_the_shoulders_and_tongues():
    top = StripLayout(
        width_len=inches(42), length_len=inches(96), end_wide_len=inches(4), tongue_deep_len=inches(2)
    )
    found = strips(top)
    assert found.blank_len == inches(94)
    assert [(end.label, end.width_len, end.cut_len) for end in found.ends] == [
        ("End 1", inches(4), inches(44)),
        ("End 2", inches(4), inches(44)),
    ]
    assert strips(TOP).ends == ()


@pytest.mark.parametrize(
    "ends, field",
    [
        ({"end_wide_len": inches(8), "length_len": inches(16)}, "end_wide"),
        ({"end_wide_len": inches(4), "tongue_deep_len": inches(4)}, "tongue_deep"),
        ({"tongue_deep_len": inches(1)}, "tongue_deep"),
    ],
)
def test_ends_that_leave_no_panel_or_no_wall_are_refused(ends, field):
    with pytest.raises(OutOfRange) as caught:
        replace(TOP, **ends)
    assert caught.value.field == field and caught.value.allowed
