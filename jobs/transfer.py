"""Export and import: the log and what stands beside it, as a folder of plain files.

The same data gives the same bytes on every database. Import wants an empty log, verifies the chain and the
files before it writes, runs no command and sends nothing.
"""

import hashlib
import json
import shutil
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from django.conf import settings
from django.db import models, transaction

from jobs import files
from jobs.canonical import dumps
from jobs.errors import Invalid, LogBroken
from jobs.log import all_events, take_head, verify
from jobs.models import CommandKey, Delivery, Effect, Event, LogHead, Person, PrivateText, Token
from jobs.rebuild import rebuild
from jobs.reminders import forgive_past

M = TypeVar("M", bound=models.Model)
FORM = 1
"""Version of the folder's form."""
TABLES: dict[str, tuple[type[models.Model], tuple[str, ...]]] = {
    "log.jsonl": (Event, ("seq",)),
    "private.jsonl": (PrivateText, ("id",)),
    "people.jsonl": (Person, ("id",)),
    "tokens.jsonl": (Token, ("sha256",)),
    "keys.jsonl": (CommandKey, ("actor", "key")),
    "deliveries.jsonl": (Delivery, ("wait_key", "kind", "person", "channel", "attempt")),
    "effects.jsonl": (Effect, ("kind", "subject")),
}
NUMBERED_ANEW = (Token, CommandKey, Delivery, Effect)
"""Tables whose number column means nothing outside one database."""
TRAILER, FILES = "trailer.json", "files"


@transaction.atomic
def export_to(folder: Path) -> dict[str, Any]:
    """Write everything to a new folder; the trailer is written last, so a broken export has none."""
    if folder.exists() and any(folder.iterdir()):
        raise Invalid(
            "the folder is not empty", field="folder", value=folder.name, allowed="a new or empty folder"
        )
    head = take_head()
    verified = verify(all_events())
    if (verified.count, verified.head_hash) != (head.seq, head.hash):
        raise LogBroken("the log's head is not its last event; nothing was exported")
    (folder / FILES).mkdir(parents=True, exist_ok=True)
    for name, (model, order) in TABLES.items():
        _write(folder / name, (_row(r) for r in _rows(model).order_by(*order).iterator()))
    for path in files.all_files():
        shutil.copyfile(path, folder / FILES / path.name)
    trailer = {"form": FORM, "count": verified.count, "head_hash": verified.head_hash, "files": _sums(folder)}
    (folder / TRAILER).write_text(dumps(trailer) + "\n", encoding="utf-8")
    return trailer


def import_from(folder: Path, *, now: datetime) -> dict[str, Any]:
    """Bring an exported folder into an empty log. Reminders whose time has passed stay unsent."""
    trailer = _check_folder(folder)
    with transaction.atomic():
        if take_head().seq or Event.objects.exists():
            raise Invalid("the log is not empty", field="folder", value=folder.name, allowed="an empty log")
        events = [_built(Event, row) for row in _read(folder / "log.jsonl")]
        verified = verify(events)
        if (verified.count, verified.head_hash) != (trailer["count"], trailer["head_hash"]):
            raise LogBroken("the log does not end where the trailer says")
        Token.objects.all().delete()
        Person.objects.all().delete()
        for name, (model, _) in TABLES.items():
            for row in events if model is Event else (_built(model, r) for r in _read(folder / name)):
                row.save(force_insert=True)
        _check_private(events)
        if events:
            last = events[-1]
            LogHead.objects.filter(id=1).update(seq=last.seq, hash=last.hash, recorded_at=last.recorded_at)
        for path in sorted((folder / FILES).iterdir()):
            files.store(path.read_bytes())
        rebuild()
        forgive_past(now)
    return trailer


def _rows(model: type[M]) -> models.QuerySet[M]:
    """All of a table, but for reminders that are not to be sent: import settles past ones by itself."""
    rows = model._default_manager.all()
    return rows.exclude(step=Delivery.Step.SKIPPED) if model is Delivery else rows


def _row(row: models.Model) -> dict[str, Any]:
    skip = {"id"} if isinstance(row, NUMBERED_ANEW) else set()
    return {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields if f.attname not in skip}


def _write(path: Path, rows: Iterable[dict[str, Any]]) -> None:
    with path.open("w", encoding="utf-8", newline="\n") as out:
        for row in rows:
            out.write(dumps(row) + "\n")


def _read(path: Path) -> Iterator[dict[str, Any]]:
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            yield json.loads(line)


def _built(model: type[M], row: dict[str, Any]) -> M:
    values = {}
    for f in model._meta.concrete_fields:
        if f.attname in row:
            values[f.attname] = _value(f, row[f.attname])
    return model(**values)


def _value(field: Any, value: Any) -> Any:
    if value is not None and isinstance(field, models.DateTimeField):
        return datetime.fromisoformat(value)
    return field.to_python(value) if value is not None else None


def _sums(folder: Path) -> dict[str, str]:
    names = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    return {n: hashlib.sha256((folder / n).read_bytes()).hexdigest() for n in names if n != TRAILER}


def _check_folder(folder: Path) -> dict[str, Any]:
    try:
        trailer: dict[str, Any] = json.loads((folder / TRAILER).read_text(encoding="utf-8"))
    except (OSError, ValueError) as broken:
        raise Invalid(
            "this is not a whole export: its trailer is missing or broken",
            field="folder",
            value=folder.name,
            allowed="a folder written by export",
        ) from broken
    if trailer.get("form") != FORM:
        raise Invalid("unknown form of export", field="form", value=trailer.get("form"), allowed=str(FORM))
    found = _sums(folder)
    wrong = sorted(
        n for n in trailer["files"].keys() | found.keys() if trailer["files"].get(n) != found.get(n)
    )
    if wrong:
        raise Invalid(
            f"files of this export were changed, added or lost: {', '.join(wrong[:5])}",
            field="files",
            value=wrong[0],
            allowed="the files as exported",
        )
    return trailer


def _check_private(events: list[Event]) -> None:
    """Texts that are there must be the texts the events saw; forgotten ones are simply not there."""
    from jobs.private import digest

    texts = {str(t.id): t for t in PrivateText.objects.all()}
    for event in events:
        for kept in _kept_in(event.data):
            text = texts.get(kept["private"])
            if text is not None and kept["sha256"] != digest(text.salt, text.text):
                raise LogBroken(f"a text of event {event.seq} ({event.kind}) was altered")


def _kept_in(value: Any) -> Iterator[dict[str, str]]:
    if isinstance(value, dict):
        if value.keys() == {"private", "sha256"}:
            yield value
        else:
            for inner in value.values():
                yield from _kept_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _kept_in(inner)


def default_folder(now: datetime) -> Path:
    """Where an export goes when nobody says."""
    return Path(settings.DATA_DIR) / "exports" / f"{now:%Y-%m-%d-%H%M%S}"
