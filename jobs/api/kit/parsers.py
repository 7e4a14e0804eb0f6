"""A strict reader of JSON: it refuses whatever two readers could understand in two ways."""

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import IO, Any, NoReturn

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

LARGEST_EXPONENT = 30
MOST_LEVELS = 40
"""Lists and objects within one another; no request needs ten."""
TOO_DEEP = f"the body is nested too deeply: {MOST_LEVELS} lists and objects within one another at most"


class StrictJSON(JSONParser):
    """UTF-8 JSON; no NaN, no name twice, no NUL, no half characters. Decimals stay exact."""

    def parse(
        self,
        stream: IO[bytes],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        raw = stream.read()  # no longer than is taken: the framework or the view has seen to it
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError as broken:
            raise ParseError(f"the body is not UTF-8: byte {broken.start} cannot be read") from broken
        try:
            value = json.loads(
                text,
                parse_constant=_no_constant,
                parse_float=_decimal,
                parse_int=_whole,
                object_pairs_hook=_once_each,
            )
            _check_text(value, "#", MOST_LEVELS)
        except json.JSONDecodeError as broken:
            place = f"line {broken.lineno}, column {broken.colno}"
            raise ParseError(f"the body is not JSON: {broken.msg} at {place}") from broken
        except RecursionError as deep:
            raise ParseError(TOO_DEEP) from deep
        except ValueError as wrong:
            raise ParseError(f"the body is not usable: {wrong}") from wrong
        return value


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number that JSON knows")


def _decimal(text: str) -> Decimal:
    number = Decimal(text)
    if number and abs(number.adjusted()) > LARGEST_EXPONENT:
        raise ValueError(f"the number {text[:40]} is outside 1e-{LARGEST_EXPONENT} to 1e{LARGEST_EXPONENT}")
    return number


def _whole(text: str) -> int:
    if len(text.lstrip("-")) > LARGEST_EXPONENT + 1:
        raise ValueError(f"the number {text[:40]}… is outside -1e{LARGEST_EXPONENT} to 1e{LARGEST_EXPONENT}")
    return int(text)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    read: dict[str, Any] = {}
    for name, value in pairs:
        if name in read:
            raise ValueError(f"the name {ascii(name)[:60]} stands twice")
        read[name] = value
    return read


def _check_text(value: Any, pointer: str, levels: int) -> None:
    """Refuse NUL and lone surrogates anywhere: databases and readers differ in what they do with them.

    Refuse what is nested deeper than ``levels`` too: later readers of the body are recursive.
    """
    if not levels and isinstance(value, dict | list):
        raise ParseError(TOO_DEEP)
    if isinstance(value, str):
        if "\x00" in value:
            raise ParseError(f"the text at {pointer} holds a NUL character")
        if not value.isascii() and any("\ud800" <= sign <= "\udfff" for sign in value):
            raise ParseError(f"the text at {pointer} holds half a character (a lone surrogate)")
    elif isinstance(value, dict):
        for name, inner in value.items():
            _check_text(name, f"{pointer}, a name", levels - 1)
            _check_text(inner, f"{pointer}/{name[:60]}", levels - 1)
    elif isinstance(value, list):
        for n, inner in enumerate(value):
            _check_text(inner, f"{pointer}/{n}", levels - 1)
