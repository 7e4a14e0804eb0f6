"""Private texts: stored outside the log, which names each by a random id and a salted hash."""

import hashlib
import re
import secrets
import uuid
from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Case, OuterRef, Subquery, TextField, Value, When
from django.db.models.functions import Coalesce

from jobs.core.canonical_json import dumps
from jobs.core.command_cache import changed_by, drop, hold, is_command, recall, recall_all
from jobs.core.errors import Invalid, LogBroken
from jobs.core.refs import FORGOTTEN_CLIENT, kept_in
from jobs.models import Event, PrivateText

TEXT, PENDING = "private text", "pending text"
changed_by(TEXT, "client_forgotten", "client_hold_ended")
FORGOTTEN = "(forgotten)"
INSTEAD = {FORGOTTEN_CLIENT: "forgotten client"}
LONGEST_TEXT = 20_000
_TURNS = r"\u202a-\u202e\u2066-\u2069"
UNSEEN = re.compile(rf"[{_TURNS}\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
UNSEEN_IN_LINE = re.compile(rf"[{_TURNS}\u2028\u2029\x00-\x1f\x7f-\x9f]")
"""Control characters, and those that turn the direction of text: right-to-left letters need neither."""


def digest(salt: str, text: str) -> str:
    return hashlib.sha256((salt + text).encode("utf-8")).hexdigest()


def store_private_text(
    text: str | None,
    *,
    field: str = "text",
    longest: int = LONGEST_TEXT,
    hold_until: date | None = None,
    one_line: bool = False,
) -> dict[str, str] | None:
    """Store a text; return the reference for the event, None for an empty text."""
    if text is None or not text.strip():
        return None
    text = text.strip()
    dumps(text, field=field)
    _refuse_unseen(text, UNSEEN_IN_LINE if one_line else UNSEEN, field)
    if len(text) > longest:
        raise Invalid(
            f"{field} is too long", field=field, value=f"{len(text)} characters", allowed=f"up to {longest}"
        )
    row = PrivateText(id=uuid.uuid4(), salt=secrets.token_hex(16), text=text, hold_until=hold_until)
    row.sha256 = digest(row.salt, text)
    if is_command():
        hold((PENDING, row.id), row)
        hold((TEXT, row.id), text)
    else:
        row.save(force_insert=True)
    return {"private": str(row.id), "sha256": row.sha256}


def _refuse_unseen(text: str, unseen: re.Pattern[str], field: str) -> None:
    """Refuse invisible characters and those that make a text read otherwise than stored."""
    if found := unseen.search(text):
        raise Invalid(
            f"{field} holds U+{ord(found[0]):04X}, which cannot be seen", field=field, value=ascii(text)[:60],
            allowed="letters, signs and spaces; no control characters and nothing that turns the direction",
        )  # fmt: skip


def read_many(refs: Iterable[uuid.UUID | None]) -> dict[uuid.UUID, str]:
    """Return the texts of many references in one query, without forgotten ones."""
    known = {r: recall((TEXT, r)) for r in refs if r}
    missing = [r for r, text in known.items() if text is None]
    found = dict(PrivateText.objects.filter(id__in=missing).values_list("id", "text"))
    for r, text in found.items():
        hold((TEXT, r), text)
    return {r: text for r, text in known.items() if text is not None} | found


def store_pending() -> None:
    """Write the texts of the open command; the command calls this before it stores its events."""
    rows: list[PrivateText] = list(recall_all(PENDING))
    PrivateText.objects.bulk_create(rows)
    for row in rows:
        drop((PENDING, row.id))


def read(one: uuid.UUID | None) -> str:
    """Return the text of one reference: empty for none, a plain mark for a forgotten one."""
    return Texts([one])[one]


def text_of(ref_field: str) -> Case:
    """Return an expression for the text of a reference, to read it in the query of its row."""
    text = Subquery(PrivateText.objects.filter(id=OuterRef(ref_field)).values("text"))
    none = When(**{ref_field: None}, then=Value(""))
    return Case(none, default=Coalesce(text, Value(FORGOTTEN)), output_field=TextField())


class Texts:
    """The texts of many rows, read at once: ``texts[ref]``."""

    def __init__(self, refs: Iterable[uuid.UUID | None]) -> None:
        self._texts = read_many(refs)

    def __getitem__(self, one: uuid.UUID | None) -> str:
        return self._texts.get(one) or INSTEAD.get(one, FORGOTTEN) if one else ""


def refs_of(rows: Iterable[Any]) -> list[uuid.UUID | None]:
    """Return every private reference of these rows."""
    found: list[uuid.UUID | None] = []
    for row in rows:
        found += [getattr(row, f.attname) for f in row._meta.concrete_fields if f.attname.endswith("_ref")]
    return found


def verify_texts(events: Iterable[Event]) -> int:
    """Refuse if a text that an event names was altered; return how many texts there are."""
    sums = {
        text.id: found if (found := digest(text.salt, text.text)) == text.sha256 else "altered"
        for text in PrivateText.objects.iterator()
    }
    for event in events:
        for kept in kept_in(event.data):
            if sums.get(uuid.UUID(kept["private"]), kept["sha256"]) != kept["sha256"]:
                raise LogBroken(f"a text of event {event.seq} ({event.kind}) was altered")
    return len(sums)
