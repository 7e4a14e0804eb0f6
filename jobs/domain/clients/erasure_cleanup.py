"""What is left of forgotten clients beside the tables: files, mails, exports, pages of the database.

All of it is found by what the log still says, so that every step may run twice and goes on after a crash.
"""

from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Q

from jobs.core import blobs
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.domain.clients.erasure import events_of, numbers_of, papers_of, refs_in
from jobs.domain.clients.update_mail import message_id
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
    PrivateText,
    SafetyTask,
    Wait,
)

STOOD_IN = ((PrivateText, "text"), (CommandKey, "salt"))
"""Where what was forgotten stood."""


class StillRead(Exception):
    """Somebody reads the database just now; what was deleted is still in its pages."""


@transaction.atomic
def remove_file(name: str) -> None:
    """Remove a file and its thumbnail, unless something else has the very same bytes."""
    lock_log()  # nothing is stored meanwhile
    if PrivateText.objects.filter(text=name).exists() or Paper.objects.filter(file_sha256=name).exists():
        return
    for path in (blobs.folder() / name, thumbnail_path(name)):
        path.unlink(missing_ok=True)


def clear() -> None:
    """Clear everything that is left of clients who are forgotten."""
    for client in Client.objects.filter(name_ref=FORGOTTEN_CLIENT):
        _clear_keys(events_of(client))
        _remove_mails(_message_ids(client))
    clear_exports(Path(settings.DATA_DIR) / "exports")
    rewrite_pages()


def _clear_keys(events: Iterable[Event]) -> None:
    """What the requests said is not to be guessed from their fingerprints; their keys stay used."""
    commands = {event.command_id for event in events}
    CommandKey.objects.filter(command_id__in=commands).update(salt="", fingerprint="")


def _message_ids(client: Client) -> set[str]:
    """Of every mail about their commissions: news to them, reminders to those who work here."""
    numbers = numbers_of(client)
    subjects = [f"commission:{n}" for n in numbers] + [f"invoice:{p.number}" for p in papers_of(client)]
    asked, offers = ClientQuestion.objects, Offer.objects
    for noun, rows in (("question", asked), ("answer", offers)):
        keys = rows.filter(commission__client=client).values_list("id", flat=True)
        subjects += [f"{noun}:{key}" for key in keys]
    about: list[int] = [
        *Wait.objects.filter(stage__piece__commission__client=client).values_list("id", flat=True),
        *SafetyTask.objects.filter(piece__commission__client=client).values_list("id", flat=True),
    ]
    sent = Delivery.objects.filter(Q(subject__in=subjects) | Q(wait_key__in=about)).exclude(message_id="")
    updates = ClientUpdate.objects.filter(commission__client=client)
    return {*sent.values_list("message_id", flat=True), *map(message_id, updates)}


def _remove_mails(message_ids: set[str]) -> None:
    """Where no mail server is set, mails are files."""
    wanted = [one.encode() for one in message_ids]
    for path in Path(settings.EMAIL_FILE_PATH).iterdir():
        if path.is_file() and wanted:
            content = path.read_bytes()
            if any(one in content for one in wanted):
                path.unlink(missing_ok=True)


def clear_exports(folder: Path) -> None:
    """Take what is forgotten out of the exports that lie in the data folder; they can still be imported."""
    if not folder.is_dir():
        return
    named = refs_in(all_events())
    there = set(PrivateText.objects.values_list("id", flat=True))
    gone = {str(ref) for ref in named - there}
    for export in folder.iterdir():
        transfer.drop_texts(export, gone)


def rewrite_pages() -> None:
    """A database keeps what was deleted in unused space: write its pages anew without it.

    On PostgreSQL by giving a column the type it has: that copies what is there now, whereas VACUUM carries
    along what any transaction on the server, even of another database, might still have seen.
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
            raise StillRead("the database is being read; its pages are written anew with the next try")
