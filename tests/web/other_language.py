"""A made-up language: every message of the project between ⟦ and ⟧, so that untranslated text stands out."""

import ast
import csv
import re
from collections.abc import Iterable, Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import polib
from django.apps import apps
from django.db.models import Model

from jobs.management.messages import TITLED, translated
from shop.settings import BASE_DIR

LANGUAGE = "qq"
WORD = re.compile(r"[^\W\d_]+")
EDGES = ' .,:;·×()"≈'
READ_ALOUD = {"aria-label", "alt", "title", "placeholder", "data-before", "data-after", "data-tap"}


@cache
def every_text() -> set[tuple[str, str]]:
    """Return the texts that a translation holds; to find them, every file is parsed."""
    return translated(BASE_DIR)


def write_catalogue(folder: Path) -> None:
    """Write the made-up language where Django looks for it."""
    catalogue = polib.POFile()
    catalogue.metadata = {
        "Content-Type": "text/plain; charset=utf-8",
        "Plural-Forms": "nplurals=2; plural=(n != 1);",
    }
    for one, many in sorted(every_text()):
        entry = polib.POEntry(msgid=one, msgstr="" if many else f"⟦{one}⟧")
        if many:
            entry.msgid_plural, entry.msgstr_plural = many, {0: f"⟦{one}⟧", 1: f"⟦{many}⟧"}
        catalogue.append(entry)
    target = folder / LANGUAGE / "LC_MESSAGES"
    target.mkdir(parents=True)
    catalogue.save_as_mofile(str(target / "django.mo"))


class _Said(HTMLParser):
    """The text that a person reads or hears of a page in one piece, and each attribute by itself."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.attributes: list[str] = []
        self.silent = 0
        self.before = ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        wrapped = tag == self.before == "text"  # lines of a sentence in a drawing
        self.text.append(" " if wrapped else "\n")
        self.before = tag
        self.silent += tag in ("script", "style", "code", "pre", "textarea")
        given = dict(attrs)
        self.attributes += [value for name, value in attrs if name in READ_ALOUD and value]
        if tag == "input" and given.get("type") in ("submit", "button"):
            self.attributes.append(given.get("value") or "")

    def handle_endtag(self, tag: str) -> None:
        self.text.append("" if tag == "text" else "\n")
        self.silent -= tag in ("script", "style", "code", "pre", "textarea")

    def handle_data(self, data: str) -> None:
        if not self.silent:
            self.text.append(data)


class Known:
    """Texts that are data and stay untranslated.

    A text of the calculations counts as a phrase, or where it is all that is left of a text. Beside figures,
    which break a phrase up, its single words count too.
    """

    def __init__(self, data: set[str], said: set[str]) -> None:
        self.left: dict[str, str] = {}
        self.said = {text.casefold() for text in said}
        self.words = {word for text in self.said for word in WORD.findall(text)}
        phrases = {" ".join(text.split()).strip(EDGES) for text in data} | {
            text for text in said if " " in text
        }
        either = "|".join(map(re.escape, sorted(phrases - {""}, key=len, reverse=True)))
        self.data = re.compile(rf"(?<!\w)(?:{either}|\w|[0-9a-f]{{12}}|\d{{4}}_\w+)(?!\w)", re.IGNORECASE)

    def rest(self, text: str) -> str:
        """Return what is left of a text without its data; pages share most of their texts."""
        if text not in self.left:
            self.left[text] = self._rest(text)
        return self.left[text]

    def _rest(self, text: str) -> str:
        text = " ".join(text.split()).strip(EDGES)
        left = self.data.sub(" ", text).strip(EDGES)
        words = set(WORD.findall(left.casefold()))
        said = (
            {text.casefold(), left.casefold()} & self.said or words <= self.words and re.search(r"\d", text)
        )
        return left if words and not said else ""


def spoken_by(folder: Path) -> set[str]:
    """Return the texts that code and tables hold, whole or in parts; titles are messages instead."""
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in folder.rglob("*.py"))
    held = [node.value for tree in trees for node in _untitled(tree) if isinstance(node, ast.Constant)]
    for path in folder.rglob("*.csv"):
        held += [cell for row in csv.reader(path.open(encoding="utf-8")) for cell in row]
    return {text.strip(EDGES) for text in held if isinstance(text, str) and re.search("[A-Za-z]{2}", text)}


def _untitled(node: ast.AST) -> Iterator[ast.AST]:
    """Yield a node and all within it but titles, which pages translate."""
    yield node
    titled = isinstance(node, ast.Call) and getattr(node.func, "id", "") in TITLED
    for inner in ast.iter_child_nodes(node):
        if not (titled and inner is node.args[0]):
            yield from _untitled(inner)


def untranslated(page: str, known: Known) -> list[str]:
    """Return what the page says that is neither a message of the catalogue nor known data."""
    said = _Said()
    said.feed(page)
    pieces = [*_outside("".join(said.text)).split("\n"), *map(_outside, said.attributes)]
    return [left for piece in pieces if (left := known.rest(piece))]


def _outside(text: str) -> str:
    depth, kept = 0, []
    for sign in text:
        depth += sign == "⟦"
        if not depth:
            kept.append(sign)
        depth -= sign == "⟧"
    return "".join(kept)


def stored() -> set[str]:
    """Return the texts of the tables: what people typed, words of routes, results of calculations.

    A value that is one of a model's choices is excluded: a page has to translate it.
    """
    models = list(apps.get_app_config("jobs").get_models())
    choices = {str(said) for m in models for f in m._meta.fields for c in f.choices or () for said in c}
    return {text for m in models for row in m._default_manager.all() for text in _texts_of(row)} - choices


def _texts_of(row: Model) -> Iterator[str]:
    return texts(vars(row).values())


def texts(values: Iterable[Any]) -> Iterator[str]:
    for value in values:
        if isinstance(value, str):
            yield from (line for line in (value, *value.splitlines()))
        elif isinstance(value, dict):
            yield from texts(value.values())
        elif isinstance(value, list | tuple):
            yield from texts(value)
