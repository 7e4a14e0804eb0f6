"""The form of answers: lengths in both units, decimals as text, times in UTC."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from calcs.kit.units import format_length


def length(units: int | None) -> dict[str, Any] | None:
    """Return a length [1/8 µm] as the stored number and as text in both units."""
    if units is None:
        return None
    return {"units": units, "in": format_length(units, "in"), "mm": format_length(units, "mm")}


def moment(value: datetime) -> str:
    """Return a time as RFC 3339 in UTC."""
    return value.astimezone(UTC).isoformat().replace("+00:00", "Z")


def present(value: Any) -> Any:
    """Return the values of a query as JSON carries them; a key ending in ``_len`` becomes a length."""
    if isinstance(value, dict):
        return dict(_entry(name, inner) for name, inner in value.items())
    if isinstance(value, list | tuple):
        return [present(inner) for inner in value]
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, datetime):
        return moment(value)
    if isinstance(value, date):
        return value.isoformat()
    return value


def _entry(name: str, value: Any) -> tuple[str, Any]:
    if name == "len" or name.endswith("_len"):
        return ("length" if name == "len" else name.removesuffix("_len")), _lengths(value)
    return name, present(value)


def _lengths(value: Any) -> Any:
    return [length(one) for one in value] if isinstance(value, list | tuple) else length(value)


def piece(view: dict[str, Any]) -> dict[str, Any]:
    """Return a piece, with the lengths among its changed figures in both units."""
    return {**present(view), "changed": [_changed(figure) for figure in view["changed"]]}


def _changed(figure: dict[str, Any]) -> dict[str, Any]:
    name = figure["figure"]
    if not name.endswith("_len"):
        return present(figure)  # type: ignore[no-any-return]
    sides = {side: length(figure[side]) for side in ("before", "after")}
    return {**figure, "figure": name.removesuffix("_len"), **sides}


def commission(view: dict[str, Any]) -> dict[str, Any]:
    """Return a commission with its pieces; ``money`` is null for anybody who may not see it."""
    return {"money": None, **present(view), "pieces": [piece(one) for one in view["pieces"]]}
