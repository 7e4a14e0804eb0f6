"""Every text that screens, mails and papers show, out of templates, code and routes."""

import ast
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.translation.template import templatize

TITLED = ("Calculation", "Figure")
"""Classes whose first argument is a title that pages translate."""
MARKERS = {"_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", *TITLED}
CALLED = re.compile(rf"\b(?:{'|'.join(MARKERS)})\s*\(")
"""Code without such a call need not be parsed."""
TEXT = r"""u?('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
MARKED = re.compile(rf"(?:\b_|gettext)\({TEXT}(?:, *{TEXT})?")
SHOWN = ("title", "do", "text", "says", "question")
"""Members of the files of routes that somebody reads."""


@dataclass(frozen=True, kw_only=True, order=True)
class Message:
    """One text and its file; ``many`` is its plural, where it has one."""

    file: str
    one: str
    many: str = ""


def messages(base: Path) -> list[Message]:
    """Return every text of the project, by file, each once a file."""
    found = {
        *_of_templates(base, base / "jobs" / "templates"),
        *_of_code(base, base / "jobs"),
        *_of_code(base, base / "calcs"),
        *_of_routes(base, base / "jobs" / "domain" / "routes"),
    }
    return sorted(found)


def translated(base: Path) -> set[tuple[str, str]]:
    """Return the texts that a translation holds, with their plurals; routes stay in English."""
    return {(found.one, found.many) for found in messages(base) if not found.file.endswith(".toml")}


def _of_templates(base: Path, folder: Path) -> Iterator[Message]:
    for path in folder.rglob("*.*"):
        code = templatize(path.read_text(encoding="utf-8"), origin=str(path))
        for one, many in MARKED.findall(code):
            yield Message(
                file=_name(base, path),
                one=ast.literal_eval(one),
                many=ast.literal_eval(many) if many else "",
            )


def _of_code(base: Path, folder: Path) -> Iterator[Message]:
    for path in folder.rglob("*.py"):
        code = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(code)) if CALLED.search(code) else ():
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MARKERS:
                texts = [
                    a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)
                ]
                if texts:
                    yield Message(
                        file=_name(base, path), one=texts[0], many=texts[1] if len(texts) > 1 else ""
                    )


def _of_routes(base: Path, folder: Path) -> Iterator[Message]:
    for path in folder.glob("*.toml"):
        for text in _shown_in(tomllib.loads(path.read_text(encoding="utf-8"))):
            yield Message(file=_name(base, path), one=text)


def _shown_in(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            if name in SHOWN and isinstance(inner, str):
                yield inner
            else:
                yield from _shown_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _shown_in(inner)


def _name(base: Path, path: Path) -> str:
    return path.relative_to(base).as_posix()
