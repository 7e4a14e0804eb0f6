"""Reading and checking inputs by what stands beside each field, and telling figures in words."""

from dataclasses import dataclass
from decimal import Decimal as D
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.asking.answers import answered, plain, spoken
from calcs.asking.field_types import (  # fmt: skip
    Choice,
    Duration,
    Habit,
    Length,
    Many,
    Number,
    Percent,
    Product,
    Temperature,
    Text,
    Whole,
    Wood,
    Yes,
)
from calcs.asking.figure_wording import US_UNITS, format_figure
from calcs.asking.inputs import Rows, check, describe, kinds_of, outward, read
from calcs.kit.errors import CalcError, OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, mm
from calcs.materials.product_sheets import Finish, Glue, glue_classes

US, METRIC = Habit(), Habit(length="mm", temperature="C")


@dataclass(frozen=True, kw_only=True)
class Board:
    width_len: Annotated[int, Length("width", inches(1), inches(24))]
    count: Annotated[int, Whole("how many", 1, 9)] = 1
    note: Annotated[str | None, Text("remark", 10)] = None

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Asked:
    long_len: Annotated[int, Length("length", inches(1), inches(100))]
    room_c: Annotated[D, Temperature("room", "-10", "40")] = D(20)
    mc_pct: Annotated[D, Percent("moisture", "4", "14")] = D(8)
    rest_s: Annotated[int | None, Duration("rest", 60, 86400)] = None
    load_kg: Annotated[D, Number("load", "0", "100", "kg")] = D(0)
    cut: Annotated[str, Choice("cut", ("flat", "quarter"))] = "flat"
    oiled: Annotated[bool, Yes("oiled")] = False
    species: Annotated[str | None, Wood("species")] = None
    glue: Annotated[Glue | None, Product("glue", Glue)] = None
    at_len: Annotated[tuple[int, ...], Many("places", Length("place", 0, inches(100)), 0, 3)] = ()
    boards: Annotated[tuple[Board, ...], Rows("boards", Board, 0, 2)] = ()
    order: Annotated[tuple[str, ...], Many("order", Text("name"), 0, 5, "+")] = ()

    def __post_init__(self) -> None:
        check(self)
        if self.rest_s is not None and self.oiled:
            raise OutOfRange("rest: not where it is oiled", field="rest", value=self.rest_s, allowed="none")


def ask(habit=US, **given):
    return read(Asked, {"long": "10 in", **given}, habit)


# 1 in is 25.4 mm, 1 lb 0.45359237 kg, °C = (°F - 32) x 5/9 (NIST SP 811, 2008, appendix B).
@pytest.mark.parametrize("habit, given, field, value", [
    (US, {"long": "12"}, "long_len", inches(12)),
    (METRIC, {"long": "305"}, "long_len", mm(305)),
    (METRIC, {"long": "12 in"}, "long_len", inches(12)),
    (US, {"long": 12}, "long_len", inches(12)),
    (US, {"long": 12.5}, "long_len", inches("12.5")),
    (US, {"room": "68"}, "room_c", D(20)),
    (METRIC, {"room": "20"}, "room_c", D(20)),
    (US, {"room": "20 C"}, "room_c", D(20)),
    (US, {"mc_pct": "8.5 %"}, "mc_pct", D("8.5")),
    (US, {"rest": "1 h 30 min"}, "rest_s", 5400),
    (US, {"load": "10"}, "load_kg", D("4.5359237")),
    (US, {"load": "10 kg"}, "load_kg", D(10)),
    (METRIC, {"load": "10"}, "load_kg", D(10)),
    (METRIC, {"load": "10 lb"}, "load_kg", D("4.5359237")),
    (METRIC, {"load": 7}, "load_kg", D(7)),
    (US, {"cut": "quarter"}, "cut", "quarter"),
    (US, {"oiled": "yes"}, "oiled", True),
    (US, {"oiled": False}, "oiled", False),
    (US, {"species": "Walnut"}, "species", "black walnut"),
    (US, {"at": "1, 2 1/2,3"}, "at_len", (inches(1), inches("5/2"), inches(3))),
    (US, {"at": ["1", 2]}, "at_len", (inches(1), inches(2))),
    (US, {"at": "[1, 2]"}, "at_len", (inches(1), inches(2))),
    (US, {"order": "a b + c"}, "order", ("a b", "c")),
    (US, {"boards": "6; 7, 2, knotty"}, "boards",
     (Board(width_len=inches(6)), Board(width_len=inches(7), count=2, note="knotty"))),
    (US, {"boards": "6,,knotty"}, "boards", (Board(width_len=inches(6), note="knotty"),)),
    (US, {"boards": [{"width": 6, "count": 2}]}, "boards", (Board(width_len=inches(6), count=2),)),
    (US, {"boards": '[{"width": "6"}]'}, "boards", (Board(width_len=inches(6)),)),
    (US, {"rest": ""}, "rest_s", None),
    (US, {"rest": None}, "rest_s", None),
])  # fmt: skip
def test_what_is_typed_is_read(habit, given, field, value):
    assert getattr(ask(habit, **given), field) == value


def test_a_product_is_a_class_by_its_key_or_a_sheet():
    pva = glue_classes()["pva"]
    assert ask(glue="pva").glue == ask(glue=pva).glue == pva


@pytest.mark.parametrize("given, field, error, allowed", [
    ({"long": "0"}, "long", OutOfRange, '1" to 100"'),
    ({"long": "101"}, "long", OutOfRange, '1" to 100"'),
    ({"long": "abc"}, "long", Unreadable, "32"),
    ({"long": True}, "long", Unreadable, "32"),
    ({"long": ["1"]}, "long", Unreadable, "32"),
    ({"long": ""}, "long", Unreadable, "100"),  # needed
    ({"room": "105"}, "room", OutOfRange, "104 °F"),
    ({"mc_pct": "15"}, "mc_pct", OutOfRange, "4 to 14 %"),
    ({"rest": "90"}, "rest", Unreadable, "45 min"),  # a duration says its unit
    ({"rest": "59 s"}, "rest", OutOfRange, "1 min to 1 d"),
    ({"load": "221"}, "load", OutOfRange, "0 to 100 kg (0 to 220.4 lb)"),
    ({"load": "heavy"}, "load", Unreadable, "0 to 100 kg"),
    ({"load": "NaN"}, "load", Unreadable, "0 to 100 kg"),
    ({"load": "1e999999"}, "load", Unreadable, "0 to 100 kg"),
    ({"load": "9e9999999999999999999"}, "load", Unreadable, "0 to 100 kg"),
    ({"cut": "rift"}, "cut", Unknown, "flat, quarter"),
    ({"oiled": "perhaps"}, "oiled", Unreadable, "yes, no"),
    ({"species": "walnutt"}, "species", Unknown, "walnut"),
    ({"species": 7}, "species", Unknown, ""),
    ({"glue": "jam"}, "glue", Unknown, "pva"),
    ({"glue": ["pva"]}, "glue", Unknown, "pva"),
    ({"at": "1, 2, 3, 4"}, "at", OutOfRange, "0 to 3 entries"),
    ({"at": "1, x"}, "at[2]", Unreadable, "32"),
    ({"at": {"a": 1}}, "at", Unreadable, "0 to 3 entries"),
    ({"boards": "1; 2; 3"}, "boards", OutOfRange, "0 to 2 entries"),
    ({"boards": "6; 99"}, "boards[2].width", OutOfRange, '1" to 24"'),
    ({"boards": "6, 1, knotty, more"}, "boards", Unreadable, "width, count, note"),
    ({"boards": [{"width": "6", "weigth": 1}]}, "boards[1].weigth", Unknown, "width"),
    ({"boards": [{"count": 2}]}, "boards[1].width", Unreadable, '1" (25.4 mm)'),
    ({"boards": [7]}, "boards", Unreadable, "width"),
    ({"boards": "[7"}, "boards", Unreadable, "width"),
    ({"boards": "6, 1, far too long a remark"}, "boards[1].note", OutOfRange, "1 to 10"),
    ({"boards": "6, 1.5"}, "boards[1].count", Unreadable, "1 to 9"),
    ({"boards": "6, 10"}, "boards[1].count", OutOfRange, "1 to 9"),
    ({"logn": "12"}, "logn", Unknown, "long"),
    ({"long_len": 12}, "long_len", Unknown, "long"),
    ({"rest": "1 h", "oiled": "yes"}, "rest", OutOfRange, "none"),  # a rule over two fields
])  # fmt: skip
def test_what_cannot_be_is_refused_by_its_typed_name(given, field, error, allowed):
    with pytest.raises(error) as caught:
        ask(**given)
    assert caught.value.field == field
    assert allowed in caught.value.allowed and caught.value.detail


@pytest.mark.parametrize("changes, field", [
    ({"long_len": "12"}, "long"), ({"long_len": 1.0}, "long"), ({"room_c": 20}, "room"),
    ({"mc_pct": 8.0}, "mc_pct"), ({"rest_s": 1.5}, "rest"), ({"load_kg": D("NaN")}, "load"),
    ({"cut": 1}, "cut"), ({"oiled": 1}, "oiled"), ({"species": 1}, "species"), ({"glue": "pva"}, "glue"),
    ({"at_len": [1]}, "at"), ({"at_len": (1.5,)}, "at[1]"), ({"boards": [1]}, "boards"),
    ({"boards": (1,)}, "boards"), ({"order": ("",)}, "order[1]"),
    ({"order": ("two\nlines",)}, "order[1]"), ({"long_len": None}, "long"),
])  # fmt: skip
def test_a_value_of_the_wrong_type_is_refused_from_python_too(changes, field):
    with pytest.raises(CalcError) as caught:
        Asked(**{"long_len": inches(10), **changes})
    assert caught.value.field == field and caught.value.allowed is not None


@given(st.dictionaries(
    st.sampled_from([outward(name) for name in kinds_of(Asked)] + ["other"]),
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
        max_leaves=5,
    ),
))  # fmt: skip
def test_whatever_is_sent_is_read_or_refused_by_name(given_):
    try:
        read(Asked, given_, US)
    except CalcError as refused:
        assert refused.field and refused.detail


@given(st.integers(inches(1), inches(100)))
def test_the_ends_that_a_length_tells_read_back_exactly(least):
    kind = Length("x", least, inches(200))
    assert kind.read(kind.ends[0], "x", METRIC) == kind.read(kind.ends[0], "x", US) == least


def test_a_description_says_all_there_is():
    told_of = {one["name"]: one for one in describe(Asked)}
    assert list(told_of)[:4] == ["long", "room", "mc_pct", "rest"]
    assert told_of["long"] == {
        "name": "long", "says": "length", "kind": "length", "unit": "in or mm",
        "allowed": '1" (25.4 mm) to 100" (2540 mm)', "least": "25.4 mm", "most": "2540 mm", "choices": [],
        "needed": True, "default": None, "rows": [],
    }  # fmt: skip
    assert told_of["load"]["unit"] == "lb or kg" and told_of["load"]["default"] == "0 lb (0 kg)"
    assert told_of["cut"]["choices"] == ["flat", "quarter"]
    assert "pva" in told_of["glue"]["choices"] and "black walnut" in told_of["species"]["choices"]
    assert [one["name"] for one in told_of["boards"]["rows"]] == ["width", "count", "note"]
    assert told_of["at"]["most"] == "2540 mm"


def test_a_finish_is_no_glue():
    kind = Product("finish", Finish)
    assert "water-borne" in kind.choices and "pva" not in kind.choices
    with pytest.raises(Unknown):
        kind.check(glue_classes()["pva"], "finish")


# By hand: 1 gal = 3.785411784 L, 1 psi = 6.894757 kPa, 1 lbf = 4.448222 N (NIST SP 811, 2008).
@pytest.mark.parametrize("name, value, words", [
    ("width_len", mm(813), '≈ 32 1/64" (813 mm)'),
    ("room_c", D(20), "68 °F (20 °C)"),
    ("rest_s", 5400, "1 h 30 min"),
    ("rest_s", 0, "0 s"),
    ("each_kg", D(10), "22.0 lb (10 kg)"),
    ("can_l", D("3.785"), "1.0 gal (3.785 L)"),
    ("press_kpa", D(1000), "145.0 psi (1000 kPa)"),
    ("own_mpa", D(13500), "1,958,009 psi (13500 MPa)"),  # whole from a thousand on
    ("left_l", D("0.028"), "0.95 fl oz (0.028 L)"),  # and hundredths below one
    ("can_l", D("0.946"), "1.0 qt (0.946 L)"),  # 1 qt = 0.946353 L, 32 fl oz
    ("can_l", D("0.94"), "31.8 fl oz (0.94 L)"),  # not quite 0.995 qt = 0.9416 L
    ("glue_ml", D(327), "11.1 fl oz (327 mL)"),  # 327 / 29.57353 = 11.057
    ("total_l", D("3.02"), "3.2 qt (3.02 L)"),  # 3.02 / 0.946353 = 3.191
    ("total_l", D("7.57"), "2.0 gal (7.57 L)"),
    ("mc_from", D("6.17"), "6.17 %"),
    ("price_per_bf", D("11.5"), "11.5 a board ft"),
    ("force_n", D(1000), "224.8 lbf (1000 N)"),
    ("area_m2", D(1), "10.8 ft² (1 m²)"),
    ("density_kg_m3", D(752), "46.9 lb/ft³ (752 kg/m³)"),
    ("stress_mpa", D(1), "145.0 psi (1 MPa)"),
    ("moment_nm", D("1.3558179483"), "1.0 lbf·ft (1.3558179483 N·m)"),
    ("mc_pct", D("8.50"), "8.5 %"),
    ("turn_deg", 30, "30°"),
    ("buy_bf", D(42), "42 board ft"),
    ("fits", True, "yes"),
    ("fits", False, "no"),
    ("people", None, "none"),
    ("name", "A", "A"),
    ("at_len", (inches(1), inches(2)), '1" (25.4 mm); 2" (50.8 mm)'),
])  # fmt: skip
def test_a_figure_is_told_in_both_systems(name, value, words):
    assert format_figure(name, value) == words


# NIST SP 811 (2008), appendix B.8 and B.9: pound, pound-force per square inch, gallon, square foot and so on.
@pytest.mark.parametrize("kept, us, factor", [
    ("kg", "lb", 0.45359237), ("kPa", "psi", 6.894757), ("N", "lbf", 4.448222), ("L", "gal", 3.785412),
    ("m²", "ft²", 0.09290304), ("N·m", "lbf·ft", 1.355818), ("MPa", "psi", 0.006894757),
    ("kg/m³", "lb/ft³", 16.01846),
])  # fmt: skip
def test_factors_are_those_of_nist(kept, us, factor):
    assert US_UNITS[kept][0] == us
    assert float(US_UNITS[kept][1]) == pytest.approx(factor, rel=5e-7)


@dataclass(frozen=True, kw_only=True)
class Found:
    sag_len: int
    boards: tuple[Board, ...]
    share: float
    notes: tuple[str, ...] = ("mind",)


def test_an_answer_holds_values_and_words():
    answer = answered(
        name="x", question="?", asked=ask(glue="pva"), drawing=None,
        found=Found(sag_len=inches(1), boards=(Board(width_len=inches(6), count=2),), share=0.25),
    )  # fmt: skip
    assert answer.inputs["long"] == {"value": inches(10), "words": '10" (254 mm)'}
    assert answer.inputs["glue"]["value"] == "pva"
    assert answer.result["sag_len"]["words"] == '1" (25.4 mm)'
    assert answer.result["boards"] == {
        "value": [{"width_len": inches(6), "count": 2, "note": None}],
        "words": ['width 6" (152.4 mm), count 2'],
    }
    assert answer.result["share"]["value"] == "0.25"
    assert (answer.notes, answer.warnings, "notes" in answer.result) == (("mind",), (), False)


def test_plain_values_are_those_of_json():
    assert plain({"a": (D("1.50"), 1e-7, True)}) == {"a": ["1.50", "0.0000001", True]}
    assert [spoken(name) for name in ("at_len", "each_kg", "density_kg_m3", "buy_bf", "load_stays")] == [
        "at", "each", "density", "buy", "load stays",
    ]  # fmt: skip


# 1 lb is 0.45359237 kg (NIST SP 811): 40000 kg are 88,184.905 lb, 0.1 kg 0.220462 lb; -1.2 °C are 29.84 °F.
@pytest.mark.parametrize(
    "kind, first, past, last, over",
    [
        (Number("weight", "0.1", "40000", "kg"), "0.2205", "0.2204", "88184", "88185"),
        (Temperature("temperature", "-1.2", "60"), "29.9", "29.8", "140", "140.1"),
        (Length("width", inches("1/8"), inches(12)), "3.175 mm", "3.174 mm", "304.8 mm", "304.81 mm"),
    ],
)
def test_a_limit_that_is_printed_may_be_typed_and_what_is_past_it_may_not(kind, first, past, last, over):
    for end in (first, last):
        digits = end.removesuffix(" mm")
        assert digits in kind.allowed.replace(",", "")
        kind.read(end, "it", Habit())
    for end in (past, over):
        with pytest.raises(OutOfRange):
            kind.read(end, "it", Habit())
