"""Traces of forgotten clients outside the tables: files, mails, exports, database pages.

The remaining log locates them all, so every step may run twice and resumes after a crash.
"""

from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Q

from jobs.core import blobs
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.domain.clients.erasure import events_of, numbers_of, papers_of, refs_in
from jobs.domain.clients.mailing import message_id
from jobs.domain.notes.images import thumbnail_path
from jobs.log import transfer
from jobs.log.commands import all_events, lock_log
from jobs.models import (
    Client,
    ClientQuestion,
    ClientUpdate,
    CommandKey,
    Delivery,
    Event,
    Offer,
    Paper,
    PaperSending,
    PrivateText,
    SafetyTask,
    Wait,
)

STOOD_IN = ((PrivateText, "text"), (CommandKey, "salt"))
"""Columns that held the forgotten texts."""


class StillRead(Exception):
    """Another connection reads the database; its pages still hold the deleted text."""


@transaction.atomic
def remove_file(name: str) -> None:
    """Remove a file and its thumbnail, unless something else has the same bytes."""
    lock_log()  # keeps commands from storing the same bytes meanwhile
    if PrivateText.objects.filter(text=name).exists() or Paper.objects.filter(file_sha256=name).exists():
        return
    for path in (blobs.folder() / name, thumbnail_path(name)):
        path.unlink(missing_ok=True)


def clear() -> None:
    """Clear every trace of forgotten clients."""
    for client in Client.objects.filter(name_ref=FORGOTTEN_CLIENT):
        _clear_keys(events_of(client))
        _remove_mails(_message_ids(client))
    clear_exports(Path(settings.DATA_DIR) / "exports")
    rewrite_pages()


def _clear_keys(events: Iterable[Event]) -> None:
    """Delete salts and fingerprints of requests, so that nobody can guess their content.

    The keys stay used.
    """
    commands = {event.command_id for event in events}
    CommandKey.objects.filter(command_id__in=commands).update(salt="", fingerprint="")


def _message_ids(client: Client) -> set[str]:
    """Return the ids of every mail about the client's commissions: updates and reminders."""
    numbers = numbers_of(client)
    subjects = [f"commission:{n}" for n in numbers] + [f"invoice:{p.number}" for p in papers_of(client)]
    asked, offers = ClientQuestion.objects, Offer.objects
    for noun, rows in (("question", asked), ("answer", offers), ("quote", offers)):
        keys = rows.filter(commission__client=client).values_list("id", flat=True)
        subjects += [f"{noun}:{key}" for key in keys]
    about: list[int] = [
        *Wait.objects.filter(stage__piece__commission__client=client).values_list("id", flat=True),
        *SafetyTask.objects.filter(piece__commission__client=client).values_list("id", flat=True),
    ]
    sent = Delivery.objects.filter(Q(subject__in=subjects) | Q(wait_key__in=about)).exclude(message_id="")
    updates = ClientUpdate.objects.filter(commission__client=client)
    papers = PaperSending.objects.filter(paper__in=papers_of(client))
    return {*sent.values_list("message_id", flat=True), *map(message_id, updates), *map(message_id, papers)}


def _remove_mails(message_ids: set[str]) -> None:
    """Delete mails kept as files, which is so where no mail server is set."""
    wanted = [one.encode() for one in message_ids]
    for path in Path(settings.EMAIL_FILE_PATH).iterdir():
        if path.is_file() and wanted:
            content = path.read_bytes()
            if any(one in content for one in wanted):
                path.unlink(missing_ok=True)


def clear_exports(folder: Path) -> None:
    """Delete forgotten texts from the exports in the data folder; the exports stay importable."""
    if not folder.is_dir():
        return
    named = refs_in(all_events())
    there = set(PrivateText.objects.values_list("id", flat=True))
    gone = {str(ref) for ref in named - there}
    for export in folder.iterdir():
        transfer.drop_texts(export, gone)


def rewrite_pages() -> None:
    """Rewrite the pages of the database without the deleted texts in their unused space.

    On PostgreSQL, altering a column to its own type copies only the present rows. VACUUM would keep rows that
    an open transaction might still see, even one of another database.
    """
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            for model, name in STOOD_IN:
                table, as_it_is = model._meta.db_table, model._meta.get_field(name).db_type(connection)
                change = f'ALTER COLUMN "{name}" TYPE {as_it_is} USING "{name}" || \'\''
                cursor.execute(f'ALTER TABLE "{table}" {change}')
            return
        cursor.execute("VACUUM")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        if cursor.fetchone()[0]:
            raise StillRead("the database is being read; the next try writes its pages again")
