from dataclasses import replace
from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.handling.flips import FaceWork, TurnOver, flips
from calcs.kit.errors import OutOfRange, Unknown, Unreadable


def work(what, up="any", *after):
    return FaceWork(what=what, up=up, after=after)


def turns(faces):
    return sum(a != b for a, b in zip(faces, faces[1:], strict=False))


def cheapest(order, starts, ends):
    """Fewest turns of one order, by trying every face for every work that may have either."""
    best = None
    front = {"show": 0, "under": 0} if starts == "any" else {starts: 0}
    for each in order:
        new = {}
        for face in ("show", "under"):
            if each.up in (face, "any"):
                new[face] = min(cost + (face != was) for was, cost in front.items())
        front = new
    for face, cost in front.items():
        total = cost + (ends not in ("any", face))
        best = total if best is None else min(best, total)
    return best


def brute(works, starts, ends):
    """Every order that keeps what must come first."""
    return min(
        cheapest(order, starts, ends)
        for order in permutations(works)
        if all({w.what for w in order[:n]}.issuperset(each.after) for n, each in enumerate(order))
    )


faces = st.sampled_from(["show", "under", "any"])


@st.composite
def plans(draw):
    count = draw(st.integers(1, 6))
    works = []
    for n in range(count):
        before = draw(st.sets(st.integers(0, n - 1), max_size=n)) if n else set()
        works.append(work(f"w{n}", draw(faces), *(f"w{b}" for b in sorted(before))))
    return TurnOver(works=tuple(works), starts=draw(faces), ends=draw(faces))


# No published table: the whole of all orders is searched beside it.
@given(plans())
def test_no_order_has_fewer_turns(plan):
    found = flips(plan)
    assert found.fewest == brute(plan.works, plan.starts, plan.ends)
    assert found.as_planned == cheapest(plan.works, plan.starts, plan.ends)
    assert found.saved == found.as_planned - found.fewest >= 0


@given(plans())
def test_the_steps_can_be_done_as_they_stand(plan):
    found = flips(plan)
    up, done = found.starts, []
    asked = {w.what: w for w in plan.works}
    assert plan.starts in ("any", up)
    for step in found.steps:
        if step.turn:
            assert step.up != up
            up = step.up
            continue
        assert step.up == up and asked[step.what].up in (up, "any")
        assert set(done).issuperset(asked[step.what].after)
        done.append(step.what)
    assert sorted(done) == sorted(asked) and plan.ends in ("any", up)
    assert sum(step.turn for step in found.steps) == found.fewest


# By hand: flatten show, cut recesses below, flatten below, sand show, sand below, oil show, oil below. As
# planned S U U S U S U: 5 turns. Recesses and the flattening below go together, then sanding and oil below
# need nothing of the show face but its own sanding: U (recess, flatten, sand, oil), S: 1 turn.
PLAN = TurnOver(
    works=(
        work("flatten show", "show"),
        work("recesses", "under"),
        work("flatten under", "under", "recesses"),
        work("sand show", "show", "flatten show"),
        work("sand under", "under", "flatten under"),
        work("oil show", "show", "sand show"),
        work("oil under", "under", "sand under"),
    )
)


def test_a_plan_by_hand():
    found = flips(PLAN)
    assert (found.as_planned, found.fewest, found.saved) == (5, 1, 4)
    # the oil waits for the sanding of both faces: the top goes over twice
    both = replace(
        PLAN,
        works=(
            *PLAN.works[:5],
            work("oil show", "show", "sand show", "sand under"),
            work("oil under", "under", "sand show", "sand under"),
        ),
    )
    assert flips(both).fewest == 2


def test_each_turn_says_who_it_takes():
    assert all(step.people is None for step in flips(PLAN).steps)
    two = [step.people for step in flips(replace(PLAN, weight_kg=Decimal(20))).steps if step.turn]
    assert two == [2]  # 44 lb: one may lift 35, two 47 on edge (NIOSH 94-110 and HSE L23, test_lifting)
    heavy = flips(replace(PLAN, weight_kg=Decimal(80)))
    assert [step.carry for step in heavy.steps if step.turn] == ["cart or hoist"]
    assert "cart or hoist" in heavy.warnings[0] and heavy.cautions


@pytest.mark.parametrize(
    "asked, field, error",
    [
        ({"works": ()}, "works", OutOfRange),
        ({"works": (work("a"), work("a"))}, "works", OutOfRange),
        ({"works": (work("b", "any", "a"), work("a"))}, "works", OutOfRange),  # planned too early
        ({"works": (work("a", "any", "a"),)}, "works", OutOfRange),
        ({"works": (work("a"), work("b", "any", "c"))}, "after", Unknown),
        ({"works": ("a",)}, "works", Unreadable),
        ({"works": (work("a"),), "starts": "edge"}, "starts", Unknown),
        ({"works": (work("a"),), "ends": "edge"}, "ends", Unknown),
        ({"works": (work("a"),), "weight_kg": Decimal(0)}, "weight", OutOfRange),
    ],
)
def test_nonsense_is_refused(asked, field, error):
    with pytest.raises(error) as caught:
        TurnOver(**asked)
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize(
    "asked, field",
    [({"what": ""}, "what"), ({"what": "x" * 61}, "what"), ({"what": "a", "up": "left"}, "up")],
)
def test_a_work_is_checked(asked, field):
    with pytest.raises((OutOfRange, Unknown)) as caught:
        FaceWork(**asked)
    assert caught.value.field == field
