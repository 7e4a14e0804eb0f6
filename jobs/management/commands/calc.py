"""Run a calculation. It reads and writes nothing of the shop and needs no database."""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from calcs.asking.answers import Answer, spoken
from calcs.asking.field_types import Habit
from calcs.catalogue import listing, run
from calcs.kit.errors import CalcError

UNITS = {"us": Habit(length="in", temperature="F"), "metric": Habit(length="mm", temperature="C")}
LISTS = {"warnings": "Heed", "cautions": "Caution", "notes": "Note", "source": "Source"}


class Command(BaseCommand):
    help = "Ask one of the trade's calculations: calc NAME input=value …, or calc --list."
    requires_system_checks: list[str] = []

    def create_parser(self, *args: Any, **options: Any) -> CommandParser:
        """Return a parser that takes options anywhere among the inputs."""
        parser = super().create_parser(*args, **options)
        parser.parse_args = parser.parse_intermixed_args  # type: ignore[method-assign]
        return parser

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?")
        parser.add_argument("inputs", nargs="*", metavar="input=value")
        parser.add_argument("--list", action="store_true", help="names, inputs, units, ranges, defaults")
        parser.add_argument("--json", action="store_true", help="for a program: JSON, refusals too")
        parser.add_argument("--units", choices=UNITS, default="us", help="what a bare number means")
        parser.add_argument("--drawing", type=Path, metavar="FILE", help="write the drawing there, as SVG")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["list"]:
                self.list(options["name"], as_json=options["json"])
            elif options["name"] is None:
                raise CommandError("which calculation? calc --list names them")
            else:
                self.ask(options)
        except CalcError as refused:
            if options["json"]:
                self.stderr.write(_problem(refused), style_func=str)
                sys.exit(1)
            raise CommandError(_refusal(refused)) from refused

    def list(self, name: str | None, *, as_json: bool) -> None:
        told = listing(name or "")
        if as_json:
            self.write_json(told)
            return
        for line in _listed(told):
            self.stdout.write(line)

    def ask(self, options: dict[str, Any]) -> None:
        answer = run(options["name"], _given(options["inputs"]), UNITS[options["units"]])
        if options["drawing"] is not None:
            _draw(answer, options["drawing"])
        if options["json"]:
            self.write_json(vars(answer))
            return
        for line in _told(answer):
            self.stdout.write(line)

    def write_json(self, told: Any) -> None:
        self.stdout.write(json.dumps(told, ensure_ascii=False, indent=2))


def _given(pairs: list[str]) -> dict[str, str]:
    given: dict[str, str] = {}
    for pair in pairs:
        name, mark, value = pair.partition("=")
        if not mark or not name:
            raise CommandError(f"'{pair}' is no input=value")
        if name in given:
            raise CommandError(f"{name} stands there twice")
        given[name] = value
    return given


def _refusal(refused: CalcError) -> str:
    told = str(refused)
    return told if not refused.allowed or refused.allowed in told else f"{told}; allowed: {refused.allowed}"


def _problem(refused: CalcError) -> str:
    told = {"code": refused.code, "detail": refused.detail, "field": refused.field}
    return json.dumps({**told, "value": refused.value, "allowed": refused.allowed}, default=str)


def _draw(answer: Answer, path: Path) -> None:
    if answer.drawing is None:
        raise CommandError(f"{answer.name} has no drawing")
    try:
        path.write_text(answer.drawing, encoding="utf-8")
    except OSError as problem:
        raise CommandError(f"the drawing cannot be written: {problem}") from problem


def _listed(calculations: list[dict[str, Any]]) -> Iterator[str]:
    for one in calculations:
        typed = " ".join(f"{name}='{value}'" for name, value in one["example"].items())
        yield f"{one['name']}: {one['question']}"
        yield f"  calc {one['name']} {typed}"
        yield from _inputs(one["inputs"], "    ")
        yield ""


def _inputs(inputs: list[dict[str, Any]], indent: str) -> Iterator[str]:
    for asked in inputs:
        unit = f" [{asked['unit']}]" if asked["unit"] else ""
        default = "needed" if asked["needed"] else f"default {asked['default'] or 'none'}"
        yield f"{indent}{asked['name']}{unit}: {asked['says']}; {asked['allowed']}; {default}"
        yield from _inputs(asked["rows"], indent + "  ")


def _told(answer: Answer) -> Iterator[str]:
    yield answer.question
    for name, figure in answer.inputs.items():
        if figure["value"] not in (None, []):
            yield from _figure(name.replace("_", " "), figure["words"])
    yield ""
    for name, figure in answer.result.items():
        if figure["value"] not in (None, []):
            yield from _figure(spoken(name), figure["words"])
    yield ""
    for each, title in LISTS.items():
        for text in getattr(answer, each):
            yield f"{title}: {text}"


def _figure(name: str, words: str | list[str]) -> Iterator[str]:
    if isinstance(words, str):
        yield f"  {name}: {words}"
        return
    yield f"  {name}:"
    for line in words:
        yield f"    {line}"
