"""Order rules from experience: they warn, beside the order that a template demands."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

FACE_FINISH = "finishing"
"""The kind of every stage that lays on a coat, whatever its template's key."""
Spec = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Rule:
    """Stages of kind ``before`` come before those of kind ``than``, on pieces that share ``tags``."""

    before: str
    than: str
    says: str
    tags: Mapping[str, Any] = field(default_factory=dict)
    note: int | None = None


RECESS_FIRST = "recesses and inserts come before the face is finished; cutting later tears the film"
MARK_FIRST = "a mark is burned or stamped before finishing; heat and pressure spoil a film"
BUILT_IN = (
    *(
        Rule(before=kind, than=FACE_FINISH, says=RECESS_FIRST)
        for kind in ("stiffeners", "recesses", "inserts")
    ),
    Rule(before="mark-before", than=FACE_FINISH, says=MARK_FIRST),
)
"""Common practice, no source."""


def check(stages: Sequence[Spec], rules: Iterable[Rule]) -> list[dict[str, Any]]:
    """Return a warning for each rule that a route breaks: a stage may begin before its taught predecessor."""
    above = _above(stages)
    found = []
    for rule in rules:
        loose = [
            (first, later)
            for first in stages
            for later in stages
            if is_of(first, rule.before) and is_of(later, rule.than)
            if first["key"] not in above[later["key"]]
        ]
        if loose:
            found.append(_warning(*loose[0], rule))
    return found


def is_of(stage: Spec, kind: str) -> bool:
    """Return whether a stage is of this kind; the maker's own stages are of none."""
    if kind == FACE_FINISH:
        return FACE_FINISH in stage["calcs"] and not stage["passive"]
    return bool(stage["template_key"] == kind and not stage["own_title"])


def _warning(first: Spec, later: Spec, rule: Rule) -> dict[str, Any]:
    return {
        "stage": later["key"],
        "before": first["key"],
        "note": rule.note,
        "says": _("%(later)s does not wait for %(first)s: %(says)s")
        % {"later": later["title"], "first": first["title"], "says": rule.says},
    }


def _above(stages: Sequence[Spec]) -> dict[str, set[str]]:
    """Return every predecessor of each stage, direct or not. Stages stand below their predecessors."""
    above: dict[str, set[str]] = {}
    for stage in stages:
        near = set(stage["after"])
        above[stage["key"]] = near.union(*(above.get(key, set()) for key in near))
    return above
