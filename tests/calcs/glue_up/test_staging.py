from functools import cache
from itertools import combinations
from time import process_time

from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.staging import fewest, least_width

WIDTHS = st.lists(st.integers(1, 9), min_size=2, max_size=8).map(tuple)
AT_ONCE = st.integers(1, 4)
WIDEST = st.none() | st.integers(1, 40)


def brute(widths, at_once, widest):
    """(stages, rounds) of the best of every tree over the strips: each way to cut, all the way down."""

    @cache
    def best(first, after, last):
        if after - first == 1:
            return {(0, 0)}
        if not last and widest is not None and sum(widths[first:after]) > widest:
            return set()
        found = set()
        for pieces in range(2, at_once + 2):
            for cuts in combinations(range(first + 1, after), pieces - 1):
                ends = (first, *cuts, after)
                ways = {(0, 0)}
                for a, b in zip(ends, ends[1:], strict=False):
                    ways = {(s + t, max(d, e)) for s, d in ways for t, e in best(a, b, False)}
                found |= {(s + 1, d + 1) for s, d in ways}
        return found

    return min(best(0, len(widths), True), default=None)


@given(WIDTHS, AT_ONCE, WIDEST)
def test_no_other_way_takes_fewer_stages_or_rounds(widths, at_once, widest):
    plan = fewest(widths, at_once=at_once, widest_len=widest)
    found = None if plan is None else (len(plan), max(stage.round for stage in plan))
    assert found == brute(widths, at_once, widest)


@given(st.lists(st.integers(1, 9), min_size=2, max_size=30).map(tuple), AT_ONCE, WIDEST)
def test_a_plan_can_be_worked_in_its_order(widths, at_once, widest):
    plan = fewest(widths, at_once=at_once, widest_len=widest)
    if plan is None:
        return
    pieces = {(n, n + 1): 0 for n in range(len(widths))}
    for stage in plan:
        assert 1 <= stage.joints <= at_once
        assert stage.round == 1 + max(
            pieces.pop(part) for part in stage.parts
        )  # made before, and not used up
        assert all(a[1] == b[0] for a, b in zip(stage.parts, stage.parts[1:], strict=False))
        pieces[stage.span] = stage.round
        if stage is not plan[-1]:
            assert widest is None or sum(widths[slice(*stage.span)]) <= widest
    assert list(pieces) == [(0, len(widths))]
    assert sum(stage.joints for stage in plan) == len(widths) - 1
    assert [stage.round for stage in plan] == sorted(stage.round for stage in plan)


@given(WIDTHS, AT_ONCE)
def test_the_least_width_is_the_least_that_has_a_plan(widths, at_once):
    least = least_width(widths, at_once=at_once)
    assert fewest(widths, at_once=at_once, widest_len=least) is not None
    if len(widths) > at_once + 1:
        assert fewest(widths, at_once=at_once, widest_len=least - 1) is None


def test_eight_strips_three_joints_at_once_make_two_halves():
    plan = fewest((6,) * 8, at_once=3, widest_len=24)
    assert [stage.parts[0][0] for stage in plan] == [0, 4, 0]
    assert plan[-1].parts == ((0, 4), (4, 8))
    assert [stage.round for stage in plan] == [1, 1, 2]


def test_many_strips_are_planned_without_delay():
    started = process_time()
    for at_once in (1, 3, 40, 150):
        fewest((4,) * 200, at_once=at_once, widest_len=400)
    assert process_time() - started < 2
