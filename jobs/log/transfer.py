"""Export and import: the log and the tables outside it, as a folder of plain files.

The same data gives the same bytes on every database. An import needs an empty log and verifies the chain and
the files before it writes. It runs no command and sends nothing.
"""

import hashlib
import json
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from django.conf import settings
from django.db import models, transaction

from jobs.core import blobs
from jobs.core.canonical_json import dumps
from jobs.core.errors import FileDamaged, Invalid, LogBroken
from jobs.log.commands import all_events, lock_log, verify
from jobs.log.integrity import damaged_files, verify_all
from jobs.log.private_texts import verify_texts
from jobs.log.rebuild import rebuild
from jobs.models import (
    CalendarEntry,
    ClientLink,
    CommandKey,
    Delivery,
    Event,
    LogHead,
    OutboxMessage,
    Person,
    PlanOfDay,
    PrivateText,
    PromiseTold,
    PushAddress,
    Reading,
    ReminderPreference,
    StagePlanned,
    Token,
)

M = TypeVar("M", bound=models.Model)
FORM, READABLE = 3, (1, 2, 3)
"""Version of the folder's form: the second has readings, the third what plans told."""
LOG, PRIVATE = "log.jsonl", "private.jsonl"
BESIDE: dict[str, type[models.Model]] = {
    PRIVATE: PrivateText,
    "people.jsonl": Person,
    "tokens.jsonl": Token,
    "keys.jsonl": CommandKey,
    "deliveries.jsonl": Delivery,
    "effects.jsonl": OutboxMessage,
    "readings.jsonl": Reading,
    "wishes.jsonl": ReminderPreference,
    "push.jsonl": PushAddress,
    "calendar.jsonl": CalendarEntry,
    "links.jsonl": ClientLink,
    "promises.jsonl": PromiseTold,
    "planned.jsonl": StagePlanned,
    "plans.jsonl": PlanOfDay,
}
"""Files of the tables outside the log; people come before their tokens."""
SINCE = {
    "readings.jsonl": 2, "wishes.jsonl": 2, "push.jsonl": 2, "calendar.jsonl": 2, "links.jsonl": 2,
    "promises.jsonl": 3, "planned.jsonl": 3, "plans.jsonl": 3,
}  # fmt: skip
NUMBERED_ANEW = (
    Token, CommandKey, Delivery, OutboxMessage, Reading, ReminderPreference, PushAddress, CalendarEntry,
    ClientLink, PromiseTold, StagePlanned,
)  # fmt: skip
"""Tables whose number column means nothing outside one database."""
TRAILER, FILES = "trailer.json", "files"
MOST_NAMED = 5


@transaction.atomic
def export_to(folder: Path, *, leave_out_damaged: bool = False) -> dict[str, Any]:
    """Export everything to a new folder; return its trailer.

    The chain, the texts and the files are verified first. A failure leaves nothing behind.
    """
    if folder.exists() and any(folder.iterdir()):
        raise Invalid(
            "the folder is not empty", field="folder", value=folder.name, allowed="a new or empty folder"
        )
    head = lock_log()
    verified = verify_all()
    if (verified.count, verified.head_hash) != (head.seq, head.hash):
        raise LogBroken("the log's head is not its last event; nothing was exported")
    damaged = damaged_files()
    if damaged and not leave_out_damaged:
        raise FileDamaged(
            f"nothing was exported: {'; '.join(list(damaged.values())[:MOST_NAMED])}"
            f"{'; and more' if len(damaged) > MOST_NAMED else ''}. "
            "Copy it back from a backup, or leave it out with --leave-out-damaged",
            field="files",
        )
    with _whole_or_nothing(folder):
        (folder / FILES).mkdir(parents=True, exist_ok=True)
        _write(folder / LOG, (dumps(_row(event)) for event in all_events()))
        for name, model in BESIDE.items():  # sorted by text, because databases sort names differently
            _write(folder / name, sorted(dumps(_row(row)) for row in _rows(model).iterator()))
        for path in blobs.all_files():
            if path.name not in damaged:
                (folder / FILES / path.name).write_bytes(blobs.load(path.name))
        trailer = {"form": FORM, "count": verified.count, "head_hash": verified.head_hash}
        _close(folder, trailer | {"files": _sums(folder)})
    return {**trailer, "left_out": list(damaged.values())}


@contextmanager
def _whole_or_nothing(folder: Path) -> Iterator[None]:
    """Delete what was written into a new or empty folder if the export fails."""
    made = not folder.exists()
    try:
        yield
    except BaseException:
        for path in list(folder.iterdir()) if folder.is_dir() else []:
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        if made:
            shutil.rmtree(folder, ignore_errors=True)
        raise


def import_from(folder: Path, *, now: datetime, settle: Callable[[datetime], object]) -> dict[str, Any]:
    """Import an exported folder into an empty log; ``settle`` leaves unsent what was due before ``now``."""
    trailer = _check_folder(folder)
    with transaction.atomic():
        if lock_log().seq or Event.objects.exists():
            raise Invalid("the log is not empty", field="folder", value=folder.name, allowed="an empty log")
        events = [_built(Event, row) for row in _read(folder / LOG)]
        verified = verify(events)
        if (verified.count, verified.head_hash) != (trailer["count"], trailer["head_hash"]):
            raise LogBroken("the log does not end where the trailer says")
        _write_rows(folder, events)
        verify_texts(events)
        rebuild()
        settle(now)
        _bring_files(folder)
    return trailer


def _bring_files(folder: Path) -> None:
    """Store the files of an export; if one cannot be stored, keep none."""
    brought = []
    try:
        for path in _files(folder):
            there = (blobs.folder() / path.name).exists()
            name = blobs.store(path.read_bytes())
            if not there:
                brought.append(name)
    except OSError:
        for name in brought:
            (blobs.folder() / name).unlink(missing_ok=True)
        raise


def _write_rows(folder: Path, events: list[Event]) -> None:
    Token.objects.all().delete()
    Person.objects.all().delete()
    for event in events:
        event.save()
    for last in events[-1:]:
        LogHead.objects.update(seq=last.seq, hash=last.hash, recorded_at=last.recorded_at)
    for name, model in BESIDE.items():
        if (folder / name).exists():
            for row in _read(folder / name):
                _built(model, row).save(force_insert=True)


def _rows(model: type[M]) -> models.QuerySet[M]:
    """Return the rows of a table, without skipped deliveries: import settles past reminders itself."""
    rows = model._default_manager.all()
    return rows.exclude(step=Delivery.Step.SKIPPED) if model is Delivery else rows


def _row(row: models.Model) -> dict[str, Any]:
    skip = {"id"} if isinstance(row, NUMBERED_ANEW) else set()
    return {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields if f.attname not in skip}


def _write(path: Path, lines: Iterable[str]) -> None:
    with path.open("w", encoding="utf-8", newline="\n") as out:
        out.writelines(line + "\n" for line in lines)


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


def _files(folder: Path) -> list[Path]:
    return sorted((folder / FILES).glob("*"))


def _check_folder(folder: Path) -> dict[str, Any]:
    trailer = _trailer(folder)
    found = _sums(folder)
    wrong = {n for n in trailer["files"].keys() | found.keys() if trailer["files"].get(n) != found.get(n)}
    wrong |= {LOG, *(n for n in BESIDE if SINCE.get(n, 1) <= trailer["form"])} - found.keys()
    wrong |= {f"{FILES}/{p.name}" for p in _files(folder) if p.name != found.get(f"{FILES}/{p.name}")}
    if wrong:
        raise Invalid(
            f"files of this export were changed, added or lost: {', '.join(sorted(wrong)[:5])}",
            field="files",
            value=min(wrong),
            allowed="the files as exported",
        )
    return trailer


def _trailer(folder: Path) -> dict[str, Any]:
    try:
        trailer: dict[str, Any] = json.loads((folder / TRAILER).read_text(encoding="utf-8"))
        whole = {"form", "count", "head_hash"} <= trailer.keys() and isinstance(trailer.get("files"), dict)
    except (OSError, ValueError, AttributeError):
        whole = False
    if not whole:
        raise Invalid(
            "this is not a whole export: its trailer is missing or broken",
            field="folder",
            value=folder.name,
            allowed="a folder written by export",
        )
    if trailer["form"] not in READABLE:
        raise Invalid(
            "unknown form of export",
            field="form",
            value=trailer["form"],
            allowed=", ".join(map(str, READABLE)),
        )
    return trailer


def drop_texts(folder: Path, gone: set[str]) -> None:
    """Delete texts from an export, with the files that only they name. The export stays whole.

    The trailer is deleted first and written last. If this breaks off in between, the export refuses to be
    imported.
    """
    if not (folder / TRAILER).is_file() or not (folder / PRIVATE).is_file():
        return
    rows = list(_read(folder / PRIVATE))
    left = [row for row in rows if row["id"] not in gone]
    papers = _papers_without(folder, gone)
    names = {row["text"] for row in rows if row["id"] in gone} | papers
    names -= {row["text"] for row in left}
    found = [path for path in _files(folder) if path.name in names]
    if len(left) == len(rows) and not found:
        return
    trailer = _trailer(folder)
    (folder / TRAILER).unlink()
    _write(folder / PRIVATE, (dumps(row) for row in left))
    for path in found:
        path.unlink()
    _close(folder, {**trailer, "files": _sums(folder)})


def _papers_without(folder: Path, gone: set[str]) -> set[str]:
    """Return the files of papers whose content is gone."""
    events = [_built(Event, row) for row in _read(folder / LOG)]
    papers = {
        e.data["paper"] for e in events if e.kind == "paper_issued" and e.data["frozen"]["private"] in gone
    }
    return {e.data["sha256"] for e in events if e.kind == "paper_rendered" and e.data["paper"] in papers}


def _close(folder: Path, trailer: dict[str, Any]) -> None:
    (folder / TRAILER).write_text(dumps(trailer) + "\n", encoding="utf-8")


def default_folder(now: datetime) -> Path:
    """Return the folder of an export that names none."""
    return Path(settings.DATA_DIR) / "exports" / f"{now:%Y-%m-%d-%H%M%S}"
