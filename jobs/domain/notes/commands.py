"""Commands on notes for next time: write one, dismiss it for a piece, retire it."""

from collections.abc import Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Any

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, Invalid, WrongState
from jobs.domain import lookups
from jobs.domain.checks import has_words, one_of
from jobs.domain.notes.images import shrunk
from jobs.domain.routes import all_routes
from jobs.domain.routes.note_rules import TAGS, kind_of_note, kind_of_stage, rules_for, similar, tags_of
from jobs.domain.routes.order_rules import FACE_FINISH
from jobs.domain.stages.preconditions import the_stage
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import Texts, store_private_text
from jobs.models import Note, NoteDismissal, Piece, Stage
from jobs.models.bases import row_key

LONGEST_WORDS = 4000


def write_note(
    call: CommandContext,
    *,
    piece: str,
    stage: str,
    words: str,
    only_for: Sequence[str] = (),
    picture: bytes | None = None,
    rule: Mapping[str, str] | None = None,
) -> CommandResult:
    """Write a note on a kind of stage, for pieces that share the named tags.

    The picture is shrunk before the log is locked. A rule says which kind of stage comes before which.
    """
    if earlier := replayed_result(call):
        return earlier
    small = shrunk(picture) if picture else None
    return _write(
        call, piece=piece, stage=stage, words=words, only_for=only_for, picture=small, rule=rule or {}
    )


@command
def _write(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    words: str,
    only_for: Sequence[str],
    picture: bytes | None,
    rule: Mapping[str, str],
) -> None:
    found = the_stage(tx, piece, stage)
    has_words(words, "a note needs words", field="words", allowed="a sentence or more")
    tags = _tags(found.piece, only_for)
    taught = _taught(found, rule) if rule else None
    data = {
        "piece": piece,
        "stage": stage,
        "template_key": found.spec["template_key"],
        "title": found.spec["title"],
        "own_title": store_private_text(Texts([found.title_ref])[found.title_ref], field="title"),
        "owner_only": found.spec["owner_only"],
        "words": store_private_text(words, field="words", longest=LONGEST_WORDS),
        "picture": store_private_text(blobs.store(picture)) if picture else None,
        "tags": tags,
        "rule": taught,
    }
    tx.append("note_written", f"note:{row_key(tx.next_seq)}", data)


@command
def dismiss_note(tx: CommandTransaction, *, note: int, piece: str) -> None:
    """Dismiss a note for one piece, which no longer shows it."""
    found, target = _live(tx, note), lookups.piece(piece)
    tx.check_version(target.version, what=f"piece {piece}")
    if not _is_shown(found, target):
        says = f"this note is not shown on piece {piece}"
        allowed = "pieces that are alike and have such a stage"
        raise WrongState(says, field="piece", value=piece, allowed=allowed)
    if NoteDismissal.objects.filter(note=found, piece=piece).exists():
        says = f"this note is dismissed for piece {piece} already"
        raise AlreadyDone(says, field="note", value=note, allowed="a note that is shown on the piece")
    tx.append("note_dismissed", f"note:{note}", {"note": note, "piece": piece})


@command
def retire_note(tx: CommandTransaction, *, note: int, reason: str = "") -> None:
    """Retire a note that has done its work or was wrong; its rule no longer applies."""
    found = _live(tx, note)
    tx.check_version(found.version, what="this note")
    tx.append(
        "note_retired", f"note:{note}", {"note": note, "reason": store_private_text(reason, field="reason")}
    )


def _live(tx: CommandTransaction, key: int) -> Note:
    """Return a note; refuse a retired one, and an owner's note to a maker."""
    found = lookups.note(key)
    if found.owner_only:
        tx.require_owner("this note")
    if found.retired_at is not None:
        raise AlreadyDone("this note is retired already", field="note", value=key, allowed="other notes")
    return found


def _is_shown(note: Note, piece: Piece) -> bool:
    stages = list(piece.stages.all())
    texts = Texts([note.title_ref, *(s.title_ref for s in stages)])
    kind = kind_of_note(note, texts)
    return similar(note.tags, piece.inputs) and any(kind_of_stage(s, texts) == kind for s in stages)


def _tags(piece: Piece, only_for: Sequence[str]) -> dict[str, Any]:
    have = {tag: value for tag, value in tags_of(piece.inputs).items() if value}
    wrong = sorted(set(only_for) - set(have))
    if wrong:
        says, value = "the piece has no such tag to be alike in", ", ".join(wrong)[:80]
        raise Invalid(says, field="only_for", value=value, allowed=", ".join(have))
    return {tag: have[tag] for tag in TAGS if tag in only_for}


def _taught(stage: Stage, rule: Mapping[str, str]) -> dict[str, str]:
    """Return a checked rule: its kinds of stage exist, and it contradicts no other rule."""
    known, coats = _kinds(stage.piece)
    for name in ("before", "than"):
        kind, field = rule.get(name, ""), f"rule.{name}"
        one_of(kind, sorted(known), "there is no such kind of stage", field=field, shown=60)
    pairs = [(r.before, r.than) for r in rules_for(stage.piece.inputs)] + [(rule["before"], rule["than"])]
    graph: dict[str, list[str]] = {}
    for before, than in pairs:
        for later in coats if than == FACE_FINISH else (than,):
            graph.setdefault(later, []).extend(coats if before == FACE_FINISH else (before,))
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as ring:
        says, value = "this rule goes against another one, or against itself", " -> ".join(ring.args[1])
        raise Invalid(says, field="rule.than", value=value, allowed="an order without rings") from ring
    return {name: rule[name] for name in ("before", "than")}


def _kinds(piece: Piece) -> tuple[set[str], set[str]]:
    """Return the kinds of stage of the shop's routes and of this piece, and those that lay on a coat."""
    templates = [s for r in all_routes().values() for s in (*r.stages, *r.between.values())]
    kinds = {s["key"] for s in templates if not s.get("own_list")}
    coats = {s["key"] for s in templates if FACE_FINISH in s.get("calcs", ()) and not s.get("passive")}
    own = [s.spec for s in piece.stages.filter(title_ref=None)]
    return kinds | {s["template_key"] for s in own} | {FACE_FINISH}, coats
