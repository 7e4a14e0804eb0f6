"""Checks that the product sheets of glues and finishes share."""

from __future__ import annotations

import re
from dataclasses import fields
from typing import Any

from calcs.kit.errors import CalcError, OutOfRange, Unreadable
from calcs.kit.validators import decimal, one_of, shown, whole

LONGEST_S = 3650 * 86400
_KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def check_common(sheet: Any, families: tuple[str, ...]) -> None:
    """Refuse a sheet with a bad key, name, family, time or temperature, or with temperatures out of order."""
    if not isinstance(sheet.key, str) or len(sheet.key) > 40 or not _KEY.fullmatch(sheet.key):
        raise _bad_text("key", sheet.key, "up to 40 lower-case letters, digits and single hyphens")
    if (
        not isinstance(sheet.name, str)
        or not sheet.name.strip()
        or not sheet.name.isprintable()
        or len(sheet.name) > 80
    ):
        raise _bad_text("name", sheet.name, "1 to 80 printable characters")
    one_of(sheet.family, "family", families)
    for each in fields(sheet):
        value = getattr(sheet, each.name)
        if each.type == "bool" and not isinstance(value, bool):
            raise _bad_text(each.name, value, "true or false")
        if each.name.endswith("_s") and (value is not None or "None" not in str(each.type)):
            whole(value, each.name, least=1, most=LONGEST_S)
    for name in ("min_temp_c", "ref_temp_c", "max_temp_c"):
        decimal(getattr(sheet, name), name, least="-20", most="100")
    in_order(sheet, "min_temp_c", "ref_temp_c", "max_temp_c")


def _bad_text(name: str, value: object, allowed: str) -> CalcError:
    """Return the refusal of a field's value, with what is allowed."""
    return Unreadable(f"{name} {shown(value)} is not {allowed}", field=name, value=value, allowed=allowed)


def in_order(sheet: Any, *names: str, strict: bool = False) -> None:
    """Refuse fields that fall in the order named; ``strict`` refuses equal ones too. None is skipped."""
    for earlier, later in zip(names, names[1:], strict=False):
        low, high = getattr(sheet, earlier), getattr(sheet, later)
        if low is None or high is None or low < high or (low == high and not strict):
            continue
        allowed = f"{'more than' if strict else 'at least'} {earlier} ({low})"
        raise OutOfRange(
            f"{later} {high} is out of range: {allowed}", field=later, value=high, allowed=allowed
        )
