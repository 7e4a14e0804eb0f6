"""Views of notes for next time: all of them, and those of a piece."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q, QuerySet

from jobs.core.canonical_json import Parsed, text_of_column
from jobs.core.errors import Forbidden, NotFound
from jobs.domain.lookups import note as find_note
from jobs.domain.routes.note_rules import Kind, kind_of_note, kind_of_stage, similar
from jobs.log.private_texts import FORGOTTEN, Texts, refs_of
from jobs.models import Note, NoteDismissal, Person, Piece, Stage
from jobs.models.bases import row_key

View = dict[str, Any]


def notes_for(person: Person) -> QuerySet[Note]:
    """Return the notes that this person may see."""
    found = Note.objects.all()
    return found if person.is_owner else found.filter(owner_only=False)


def the_note(key: int, person: Person) -> Note:
    """Return one note; refuse an owner's note to a maker."""
    found = find_note(key)
    if found.owner_only and not person.is_owner:
        raise Forbidden("this note is the owner's", field="note", value=key)
    return found


def note_views(notes: Sequence[Note]) -> list[View]:
    """Return notes with the other pieces that each was shown on since it was written."""
    stages = _stages_of_these_kinds(notes)
    texts = Texts([*refs_of(notes), *(s.title_ref for s in stages)])
    by_kind = defaultdict(list)
    for stage in stages:
        by_kind[kind_of_stage(stage, texts)].append(stage)
    return [_view(n, texts, _came_back(n, by_kind[kind_of_note(n, texts)])) for n in notes]


class _Laid(NamedTuple):
    """A stage on a piece's route that may be of a note's kind."""

    spec: dict[str, Any]
    inputs: dict[str, Any]
    id: int
    title_ref: UUID | None
    finished_at: datetime | None
    piece_id: int
    piece: str


def _stages_of_these_kinds(notes: Iterable[Note]) -> list[_Laid]:
    """Return stages whose keys may be of these kinds; the caller checks the kind in each spec."""
    wanted = Q(pk__in=[])
    for note in notes:
        key = note.template_key
        named = Q(title_ref=None) & (Q(key=key) | Q(key__startswith=f"{key}-"))
        wanted |= Q(title_ref__isnull=False) if note.title_ref else named
    rows = Stage.objects.filter(wanted).order_by("id").values_list(
        text_of_column("spec"), text_of_column("piece__inputs"), "id", "title_ref", "finished_at", "piece_id",
        "piece__number",
    )  # fmt: skip
    told = Parsed()
    return [_Laid(told[spec], told[inputs], *of) for spec, inputs, *of in rows]


def _came_back(note: Note, stages: Iterable[_Laid]) -> list[str]:
    """Return the other pieces, oldest first, whose open stage showed the note."""
    ended = row_key(note.version) if note.retired_at else None
    found = [
        stage
        for stage in stages
        if stage.piece != note.piece
        and similar(note.tags, stage.inputs)
        and (stage.finished_at is None or stage.finished_at > note.written_at)
        and (ended is None or stage.id < ended)
    ]
    return list(dict.fromkeys(s.piece for s in sorted(found, key=lambda s: s.piece_id)))


def notes_of_piece(piece: Piece, stages: Sequence[Stage], person: Person) -> list[View]:
    """Return the notes shown on a piece now, newest first, each with the keys of its stages."""
    gone = NoteDismissal.objects.filter(piece=piece.number).values("note")
    notes = [
        note
        for note in notes_for(person).filter(retired_at=None).exclude(id__in=gone).order_by("-id")
        if similar(note.tags, piece.inputs)
    ]
    texts = Texts([*refs_of(notes), *(s.title_ref for s in stages)])
    keys: dict[Kind, list[str]] = defaultdict(list)
    for stage in stages:
        keys[kind_of_stage(stage, texts)].append(stage.key)
    shown = [(n, keys[kind_of_note(n, texts)]) for n in notes if kind_of_note(n, texts) in keys]
    views = note_views([n for n, _ in shown])
    return [{**view, "shown_at": at} for view, (_, at) in zip(views, shown, strict=True)]


def picture_of(note: Note) -> str:
    """Return the name of the picture's file; refuse where there is none or it was forgotten."""
    name = Texts([note.picture_ref])[note.picture_ref]
    if not name or name == FORGOTTEN:
        raise NotFound("this note has no picture", field="picture", value=note.id)
    return name


def _view(note: Note, texts: Texts, where: list[str]) -> View:
    return {
        "id": note.id,
        "words": texts[note.words_ref],
        "has_picture": note.picture_ref is not None,
        "kind": note.template_key,
        "title": texts[note.title_ref] if note.title_ref else note.title,
        "piece": note.piece,
        "stage": note.stage,
        "only_for": note.tags,
        "rule": note.rule,
        "written_at": note.written_at,
        "written_by": note.written_by,
        "retired_at": note.retired_at,
        "retired_by": note.retired_by,
        "retired_reason": texts[note.retired_reason_ref],
        "came_back": len(where),
        "where": where,
        "version": note.version,
    }
