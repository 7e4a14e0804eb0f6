"""Every input of every calculation, by what it says of itself: its ends are taken, beyond is not."""

from dataclasses import dataclass, replace
from decimal import Decimal

import pytest

from calcs.asking.field_types import Habit, Many
from calcs.asking.figure_wording import US_UNITS
from calcs.asking.inputs import Rows, describe, kinds_of, outward
from calcs.catalogue import CALCULATIONS, find, listing, run
from calcs.kit.errors import CalcError, Unknown

EXAMPLES = {name: one.example for name, one in CALCULATIONS.items()}
STEPS = {
    "length": "0.000125", "temperature": "0.01", "percent": "0.001", "duration": "1", "whole": "1",
    "number": "0.000001",
}  # fmt: skip


def measured():
    """Calculation, input and its kind, for everything that has a range; rows apart."""
    for name, calculation in CALCULATIONS.items():
        for field, (kind, _) in kinds_of(calculation.asked).items():
            if kind.ends != (None, None):
                yield pytest.param(name, outward(field), kind, id=f"{name} {outward(field)}")


def in_rows():
    for name, calculation in CALCULATIONS.items():
        for field, (kind, _) in kinds_of(calculation.asked).items():
            if isinstance(kind, Rows):
                for inner, (one, _) in kinds_of(kind.of).items():
                    if one.ends != (None, None):
                        yield pytest.param(
                            outward(inner), one, id=f"{name} {outward(field)} {outward(inner)}"
                        )


def beyond(kind, end, way):
    """The next value outside, typed."""
    one = kind.of if isinstance(kind, Many) else kind
    number, _, unit = end.partition(" ")
    return f"{Decimal(number) + way * Decimal(STEPS[type(one).__name__.lower()]):f} {unit}".strip()


def outside(kind):
    least, most = kind.ends
    return [beyond(kind, end, way) for end, way in ((least, -1), (most, 1)) if end is not None]


@pytest.mark.parametrize("name, field, kind", list(measured()))
def test_the_ends_of_a_range_are_taken_and_what_lies_beyond_is_refused(name, field, kind):
    for end in filter(None, kind.ends):
        typed = ", ".join([end] * max(1, getattr(kind, "least", 1))) if isinstance(kind, Many) else end
        try:
            run(name, {**EXAMPLES[name], field: typed}, Habit())
        except (
            CalcError
        ) as refused:  # for the sake of another input, or of what follows from it: not its range
            assert refused.detail and refused.allowed
            assert refused.allowed != kind.allowed
    for typed in outside(kind):
        with pytest.raises(CalcError) as caught:
            run(name, {**EXAMPLES[name], field: typed}, Habit())
        assert caught.value.field in (field, f"{field}[1]")
        assert caught.value.allowed


@pytest.mark.parametrize("field, kind", list(in_rows()))
def test_the_ends_in_rows_are_taken_and_what_lies_beyond_is_refused(field, kind):
    for end in filter(None, kind.ends):
        kind.check(kind.read(end, field, Habit()), field)
    for typed in outside(kind):
        with pytest.raises(CalcError) as caught:
            kind.read(typed, field, Habit())
        assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize("name", CALCULATIONS)
def test_an_example_gives_no_more_than_is_needed(name):
    answer = run(name, EXAMPLES[name], Habit())
    assert answer.result and answer.source and answer.question.endswith("?")
    for field in EXAMPLES[name]:
        rest = {n: v for n, v in EXAMPLES[name].items() if n != field}
        with pytest.raises(CalcError):
            run(name, rest, Habit())


NONSENSE = ("\x00", "no such thing", ["a", {"b": 1}], {"a": 1}, "1e999999", "-", "½½", True, "1" * 500)


def may_be(one, nonsense):
    """Yes may be true, and a text or what is named by one may be almost anything."""
    named = one["kind"] == "rows" and [inner["kind"] for inner in one["rows"] if inner["needed"]] == ["text"]
    return one["kind"] in ("yes", "text") or (named and isinstance(nonsense, str))


@pytest.mark.parametrize("name", CALCULATIONS)
def test_what_is_typed_and_is_no_such_thing_is_refused_by_name(name):
    for one in describe(CALCULATIONS[name].asked):
        for nonsense in NONSENSE:
            if may_be(one, nonsense):
                continue
            with pytest.raises(CalcError) as caught:
                run(name, {**EXAMPLES[name], one["name"]: nonsense}, Habit())
            assert caught.value.detail
            assert caught.value.field.partition("[")[0] == one["name"], (one["name"], nonsense)


# The same top in inches and in millimetres: figures agree where the sizes do. 60 in are 1524 mm.
@pytest.mark.parametrize("name", ["weight", "layout", "lumber", "sag", "finishing", "sanding"])
def test_both_systems_of_units_give_the_same_figures(name):
    metric = {
        field: ", ".join(f"{float(_inches(part)) * 25.4:.4f}" for part in value.split(","))
        if field in ("length", "width", "thickness", "board_width", "board_length", "supports")
        else value
        for field, value in EXAMPLES[name].items()
    }
    us = run(name, EXAMPLES[name], Habit())
    assert run(name, metric, Habit(length="mm", temperature="C")).result == us.result


def _inches(text):
    return sum(Decimal(a) / Decimal(b or 1) for a, _, b in (p.partition("/") for p in text.split()))


def test_the_listing_holds_what_describes_itself():
    for one in listing():
        assert one["example"] == EXAMPLES[one["name"]]
        assert [each["name"] for each in one["inputs"]]
        for each in one["inputs"]:
            assert each["says"] and each["allowed"], (one["name"], each["name"])


def test_an_unknown_name_is_told_the_nearest():
    with pytest.raises(Unknown) as caught:
        find("movment")
    assert caught.value.allowed == "movement"
    assert US_UNITS["kg"][0] == "lb"


@dataclass(frozen=True)
class Untitled:
    at_len: int


def test_a_result_without_titles_is_refused_where_it_is_listed():
    def untitled(asked: Untitled) -> Untitled:
        raise NotImplementedError

    with pytest.raises(TypeError, match=r"Untitled\.at_len has no Figure"):
        replace(CALCULATIONS["weight"], answer=untitled)
