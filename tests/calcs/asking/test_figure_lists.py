"""Figures of a result in the order of their fields: lines, sentences and tables."""

from dataclasses import dataclass
from typing import Annotated

import pytest

from calcs.asking.field_types import Whole
from calcs.asking.figure_lists import lines, sentences, tables, title_of, titles_of
from calcs.asking.figures import Figure


@dataclass(frozen=True, kw_only=True)
class Hole:
    wide_len: Annotated[int, Figure("Hole", near=True)]
    deep_len: Annotated[int, Figure("Deep", hidden=True)]


@dataclass(frozen=True, kw_only=True)
class Bolt:
    at_len: Annotated[int, Figure("From the end")]
    lost_len: Annotated[int, Figure("Lost", quiet=True)]
    hole: Annotated[Hole | None, Figure("Hole", within={"wide_len": Figure("Hole of the bolt")})]


@dataclass(frozen=True, kw_only=True)
class Rail:
    count: Annotated[int, Figure("Bolts")]
    short_len: Annotated[int, Figure("Missing", quiet=True)]
    to_do: Annotated[tuple[str, ...], Figure("To do", sentence=True)]
    bolts: Annotated[tuple[Bolt, ...], Figure("Bolt by bolt")]
    hole: Hole
    notes: tuple[str, ...]


BOLT = {"at_len": 1, "lost_len": None, "hole": {"wide_len": 2, "deep_len": 3}}
RAIL = {
    "hole": {"deep_len": 3, "wide_len": 4, "source": ["kept once"]},
    "bolts": [BOLT, {**BOLT, "at_len": 5, "hole": None}],
    "to_do": ["drill"],
    "short_len": 0,
    "count": 2,
    "notes": ["never a figure"],
    "older_kg": "7",
}


def test_lines_stand_in_the_order_of_the_class_with_a_group_in_its_place_and_unknown_names_last():
    found = lines(titles_of(Rail), RAIL)
    assert [(one.figure.title, one.value) for one in found] == [("Bolts", 2), ("Hole", 4), ("Older", "7")]
    assert [one.name for one in found] == ["count", "wide_len", "older_kg"]


def test_zero_is_told_unless_it_says_nothing():
    assert [one.name for one in lines(titles_of(Rail), {"count": 0, "short_len": 0})] == ["count"]


def test_sentences_stand_by_themselves():
    assert [(one.figure.title, one.value) for one in sentences(titles_of(Rail), RAIL)] == [
        ("To do", ["drill"])
    ]


def test_a_table_has_the_columns_that_say_something_and_those_of_a_group_under_their_title_here():
    [table] = tables(titles_of(Rail), RAIL)
    assert table.figure.title == "Bolt by bolt"
    assert [(name, figure.title, figure.near) for name, figure in table.columns] == [
        ("at_len", "From the end", False),
        ("wide_len", "Hole of the bolt", False),
    ]
    assert table.rows == ((1, 2), (5, None))


def test_a_quiet_column_leaves_zero_empty():
    [table] = tables(titles_of(Rail), {"bolts": [{"at_len": 0, "lost_len": 0}, {"at_len": 1, "lost_len": 2}]})
    assert table.rows == ((0, None), (1, 2))


def test_an_input_is_called_as_it_is_asked_for_unless_it_has_a_title():
    @dataclass(frozen=True, kw_only=True)
    class Asked:
        boards: Annotated[int, Whole("boards at hand", 1, 9)]
        cuts: Annotated[int, Whole("cuts: 1 by default", 1, 9), Figure("Cuts")] = 1

    titles = titles_of(Asked)
    assert [title_of(titles, name) for name in ("boards", "cuts", "saw_kerf_len")] == [
        "Boards at hand", "Cuts", "Saw kerf",
    ]  # fmt: skip


def test_a_figure_without_a_title_is_refused_by_name():
    @dataclass(frozen=True, kw_only=True)
    class Untitled:
        width_len: int

    with pytest.raises(TypeError, match=r"Untitled\.width_len has no Figure"):
        titles_of(Untitled)
