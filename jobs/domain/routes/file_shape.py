"""The shape of a template: its words, and the type of each value."""

from collections.abc import Callable, Mapping
from typing import Any

from jobs.core.errors import Invalid
from jobs.log.private_texts import UNSEEN

Check = Callable[[Any], bool]


def _text(value: Any) -> bool:
    return isinstance(value, str) and not UNSEEN.search(value)


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(_text(one) for one in value)


def _yes_or_no(value: Any) -> bool:
    return isinstance(value, bool)


def _tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _table_of_tables(value: Any) -> bool:
    return isinstance(value, dict) and all(isinstance(one, dict) for one in value.values())


SAYS: dict[Check, str] = {
    _text: "a text in quotes, without control characters",
    _texts: "a list of texts in quotes, without control characters",
    _yes_or_no: "true or false",
    _tables: "a list of tables",
    _table_of_tables: "tables, each with a name",
}
FILE: dict[str, Check] = {
    "key": _text, "title": _text, "needs": _texts, "film": _yes_or_no, "stage": _tables,
    "between": _table_of_tables,
}  # fmt: skip
STAGE: dict[str, Check] = {
    **dict.fromkeys(
        ("key", "title", "do", "place", "only_if", "repeat", "between", "then", "marks", "once_per"), _text
    ),
    **dict.fromkeys(("after", "between_clampings", "calcs", "cautions", "notes", "papers"), _texts),
    **dict.fromkeys(
        ("passive", "before_acceptance", "owner_only", "between_first", "own_list", "each_clamping"),
        _yes_or_no,
    ),
    **dict.fromkeys(("gates", "waits"), _tables),
}
WAIT: dict[str, Check] = {
    **dict.fromkeys(("kind", "title", "clock", "duration", "latest", "since", "source"), _text),
    "holds": _texts,
}
GATE: dict[str, Check] = {
    **dict.fromkeys(
        ("key", "title", "at", "unit", "least", "most", "near", "source", "rule", "of", "within"), _text
    ),
    "safety": _yes_or_no,
}


def wrong(source: str, field: str, value: object, allowed: str) -> Invalid:
    return Invalid(f"{source}: {field} is not usable", field=field, value=value, allowed=allowed)


def check_shape(data: Mapping[str, Any], source: str) -> None:
    """Refuse unknown words, and a value of another type than its word takes."""
    _check(data, FILE, source, "file")
    for stage in (*data["stage"], *data.get("between", {}).values()):
        name = f"stage {str(stage.get('key'))[:40]}"
        _check(stage, STAGE, source, name)
        for wait in stage.get("waits", []):
            _check(wait, WAIT, source, f"{name}: wait")
        for gate in stage.get("gates", []):
            _check(gate, GATE, source, f"{name}: gate")


def _check(table: Mapping[str, Any], words: Mapping[str, Check], source: str, where: str) -> None:
    if unknown := sorted(set(table) - set(words)):
        raise wrong(source, f"{where}: words", ", ".join(unknown)[:200], ", ".join(sorted(words)))
    for word, value in table.items():
        if not words[word](value):
            raise wrong(source, f"{where}: {word}", ascii(value)[:60], SAYS[words[word]])
