"""Matching of notes for next time to stages, and the order rules that notes carry."""

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from jobs.core.command_cache import read_once
from jobs.domain.routes.order_rules import BUILT_IN, Rule, check
from jobs.log.private_texts import Texts, text_of
from jobs.models import Note

TAGS = {"route": "route", "species": "species", "glue": "glue", "finish": "finish_face"}
"""Tags that pieces may share, each with its input."""
Kind = tuple[str, str]
LONGEST_SAYING = 160


def tags_of(inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Return every tag of a piece."""
    return {tag: inputs[name] for tag, name in TAGS.items()}


def similar(tags: Mapping[str, Any], inputs: Mapping[str, Any]) -> bool:
    """Return whether a piece shares all of these tags."""
    return all(inputs[TAGS[tag]] == value for tag, value in tags.items())


class HasKind(Protocol):
    """A stage, or the columns read of one."""

    @property
    def spec(self) -> Any: ...
    @property
    def title_ref(self) -> Any: ...


def kind_of_stage(stage: HasKind, texts: Texts) -> Kind:
    """Return a stage's kind: the template's key, or the title of a maker's own stage."""
    return ("", texts[stage.title_ref].casefold()) if stage.title_ref else (stage.spec["template_key"], "")


def kind_of_note(note: Note, texts: Texts) -> Kind:
    return ("", texts[note.title_ref].casefold()) if note.title_ref else (note.template_key, "")


@read_once("note_written", "note_retired", "client_forgotten", "client_hold_ended")
def taught() -> list[Rule]:
    """Return the valid rules: those of the trade, then those of notes, the oldest first."""
    notes = Note.objects.filter(retired_at=None, rule__isnull=False).annotate(words=text_of("words_ref"))
    return [*BUILT_IN, *(_rule(note, note.words) for note in notes.order_by("id"))]


def _rule(note: Note, words: str) -> Rule:
    says = words if len(words) <= LONGEST_SAYING else f"{words[: LONGEST_SAYING - 1]}…"
    return Rule(**note.rule, says=says, tags=note.tags, note=note.id)


def rules_for(inputs: Mapping[str, Any]) -> list[Rule]:
    """Return the rules that apply to a piece."""
    return [rule for rule in taught() if similar(rule.tags, inputs)]


def warnings(stages: Sequence[dict[str, Any]], inputs: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return where the route of a piece breaks a rule."""
    return check(stages, rules_for(inputs))


def notices(
    stages: Sequence[dict[str, Any]],
    inputs: Mapping[str, Any],
    before: Sequence[dict[str, Any]] = (),
) -> list[str]:
    """Return the broken rules in words, without those that the route ``before`` broke already."""
    rules = rules_for(inputs)
    known = [warning["says"] for warning in check(before, rules)]
    return [w["says"] for w in check(stages, rules) if w["says"] not in known]
