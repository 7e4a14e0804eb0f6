"""The changes by which the strength of the tests is measured are made, one at a time, and are noticed."""

import ast
from pathlib import Path

import pytest

from tests.mutants import BASE, ROOMS, SAME, is_same, mutated

SOURCE = """
def left(owed, paid):
    check(owed)
    if not owed and paid < 2:
        return -1
    return owed - paid
"""


def changes() -> list[str]:
    _, all_of_them = mutated(SOURCE, -1)
    return [ast.unparse(mutated(SOURCE, n)[0]) for n in range(all_of_them.count)]


@pytest.mark.parametrize(
    "part",
    [
        "return owed + paid", "paid <= 2", "paid < 3", "not owed or paid", "if owed and", "return 1",
        "return -2", "    pass\n    if not", "check(owed)\n    pass\n    return",
    ],
)  # fmt: skip
def test_each_change_is_made_alone(part: str):
    found = [told for told in changes() if part in told]
    assert len(found) == 1, changes()
    assert len(changes()) == 9


def test_without_a_change_the_code_is_as_it_was():
    assert ast.unparse(mutated(SOURCE, -1)[0]) == ast.unparse(ast.parse(SOURCE))


@pytest.mark.parametrize("path", ROOMS)
def test_modules_and_their_tests_exist(path: str):
    assert mutated((BASE / path).read_text("utf-8"), -1)[1].count > 0
    assert all(Path(BASE / tests).exists() for tests in ROOMS[path])


@pytest.mark.parametrize("path", SAME)
def test_each_change_that_nobody_can_tell_is_one_of_the_module(path: str):
    source = (BASE / path).read_text("utf-8")
    count = mutated(source)[1].count
    found = [n for n in range(count) if is_same(path, source, mutated(source, n)[1])]
    assert len(found) == len(SAME[path]), [mutated(source, n)[1].told for n in found]
