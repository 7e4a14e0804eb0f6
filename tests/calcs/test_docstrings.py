"""Docstrings of calcs, by the rules that a machine can see."""

import ast
import inspect
import io
import tokenize
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import FunctionType

import pytest

from tests.test_words import BANNED

BASE = Path(__file__).resolve().parent.parent.parent
MODULES = sorted(
    ".".join(path.relative_to(BASE).with_suffix("").parts).removesuffix(".__init__")
    for path in (BASE / "calcs").rglob("*.py")
    if path.read_text("utf-8").strip()
)
FORMULAS = [
    f"calcs.{room}.{module}"
    for room, modules in {
        "wood": (
            "air", "density", "emc", "exponential_fit", "movement", "movement_inputs", "season_change",
            "seasonal_movement", "settling", "slab", "stiffness", "time_to_settle", "weight",
        ),
        "lumber": (
            "board_footage", "board_tally", "boards", "finished_size", "layout", "lumber", "lumber_choice",
            "quarters", "thickness",
        ),
        "curing": (
            "age", "curing", "hardening", "heat_lag", "laws", "points", "rates", "series", "series_ages",
        ),
        "joints": ("joinery", "slot_clearance", "spacing"),
        "glue_up": (
            "assembly", "clamp_choice", "clamping", "glue_stages", "gluing", "pressure", "spread", "staging",
        ),
        "finish": (
            "cans", "coat_calendar", "films", "finish_job", "finish_plan", "finishing", "grits", "sanding",
        ),
        "handling": (
            "access", "corners", "flips", "guideline_weight", "lift_top", "lifting", "weight_limit",
        ),
        "structure": (
            "across", "attachment", "beam", "beam_pieces", "bent_top", "breadboard", "channel_fit", "sag",
            "stiffening", "tipping",
        ),
        "money": ("allocation", "costing", "invoice"),
    }.items()
    for module in modules
]  # fmt: skip
ARTICLES = {"a", "an", "the"}
HEADLESS = {"how", "that", "what", "when", "where", "whether", "which", "who", "why"}


def path_of(module: str) -> Path:
    base = BASE / module.replace(".", "/")
    return base / "__init__.py" if base.is_dir() else base.with_suffix(".py")


def own_names(module: str) -> Iterator[tuple[str, object]]:
    """Yield each public function and class of a module, and the public methods of its classes."""
    for name, thing in vars(import_module(module)).items():
        if getattr(thing, "__module__", "") != module or name.startswith("_"):
            continue
        if inspect.isclass(thing):
            yield name, thing
            for inner, method in vars(thing).items():
                if isinstance(method, FunctionType | property) and not inner.startswith("_"):
                    yield f"{name}.{inner}", getattr(thing, inner)
        elif inspect.isroutine(thing) or hasattr(thing, "__wrapped__"):
            yield name, thing


@pytest.mark.parametrize("module", MODULES)
def test_every_public_name_is_documented(module: str):
    assert inspect.getdoc(import_module(module))
    assert [name for name, thing in own_names(module) if not documented(name, thing)] == []


def documented(name: str, thing: object) -> bool:
    """Return whether a name has a docstring; the signature that a dataclass gets for want of one is none."""
    text = inspect.getdoc(thing) or ""
    return bool(text) and not text.startswith(f"{name}(")


@pytest.mark.parametrize("module", MODULES)
def test_a_function_opens_with_a_verb_and_a_class_with_a_noun(module: str):
    wrong = {
        node.name: first
        for node in ast.walk(ast.parse(path_of(module).read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and ast.get_docstring(node)
        and (first := (ast.get_docstring(node) or "").split()[0]).lower()
        in (HEADLESS | ARTICLES if isinstance(node, ast.FunctionDef) else HEADLESS)
    }  # fmt: skip
    assert wrong == {}


@pytest.mark.parametrize("module", MODULES)
def test_the_banned_words_are_not_used(module: str):
    assert BANNED.findall(path_of(module).read_text("utf-8")) == []


def test_formulas_have_as_much_docstring_as_code():
    counted = [lines_of(path_of(name)) for name in FORMULAS]
    assert sum(prose for prose, _ in counted) >= sum(code for _, code in counted)


def lines_of(path: Path) -> tuple[int, int]:
    """Return the lines of docstrings and of code in a file; blank lines and comments are neither."""
    text = path.read_text("utf-8")
    prose: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(node):
            prose.update(range(node.body[0].lineno, (node.body[0].end_lineno or 0) + 1))
    code: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.string.strip() and token.type != tokenize.COMMENT:
            code.update(range(token.start[0], token.end[0] + 1))
    return len(prose), len(code - prose)
