"""The log: lock its head, append events, project them; verify the chain.

A command is a function decorated with ``command``. Its caller passes a ``CommandContext`` (who, when, which
key) and the command's own arguments. The function receives a ``CommandTransaction``, through which it
appends. Everything happens in one transaction. It locks the head of the log first, so commands run one after
another.
"""

import hashlib
import secrets
import uuid
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial, wraps
from typing import Any, Concatenate, ParamSpec

from django.db import transaction
from django.utils import timezone

from jobs.core import broker, command_cache
from jobs.core.canonical_json import dumps, time_text
from jobs.core.errors import ClockAhead, Forbidden, Invalid, KeyReused, LogBroken, Stale
from jobs.log import projectors
from jobs.log.private_texts import store_pending
from jobs.log.projections import Versions, project
from jobs.log.projections.kinds import kind_of, payload_of
from jobs.models import CommandKey, Event, LogHead, OutboxMessage
from jobs.models.people import everybody

AHEAD_ALLOWED = timedelta(minutes=5)
LONGEST_KEY = 200
FEW = 500
"""Events that are read at once."""
GENESIS = "0" * 64
P = ParamSpec("P")


@dataclass(frozen=True, kw_only=True)
class CommandContext:
    """The context of a command: who, when it happened, when it is recorded, which key."""

    by: str
    at: datetime
    now: datetime
    key: str = ""
    fingerprint: str = ""
    seen: int | None = None

    @property
    def day(self) -> date:
        """Return the day on which it happened, in the shop's time zone."""
        return timezone.localtime(self.at).date()

    def __post_init__(self) -> None:
        if self.at.tzinfo is None or self.now.tzinfo is None:
            raise Invalid("times need a time zone", field="at", value=str(self.at), allowed="aware times")
        if self.at > self.now + AHEAD_ALLOWED:
            raise ClockAhead(
                f"the time given is {_minutes(self.at - self.now)} ahead of the shop's clock",
                field="at",
                value=self.at.isoformat(),
                allowed=f"up to {self.now + AHEAD_ALLOWED:%Y-%m-%dT%H:%M:%SZ}",
            )
        if len(self.key) > LONGEST_KEY or not self.key.isprintable():
            raise Invalid(
                "this key cannot be used",
                field="Idempotency-Key",
                value=self.key[:40],
                allowed=f"printable text of up to {LONGEST_KEY} characters",
            )


def _minutes(span: timedelta) -> str:
    return f"{span.total_seconds() / 60:.0f} minutes"


@dataclass(frozen=True, kw_only=True)
class CommandResult:
    """The result of a command: its events, whether they are replayed, and its notices."""

    events: list[Event]
    replayed: bool = False
    notices: list[str] = field(default_factory=list)


class CommandTransaction:
    """A running command: it holds the locked head of the log and appends to it."""

    def __init__(self, call: CommandContext, head: LogHead) -> None:
        self.call = call
        self.head = head
        self.command_id = uuid.uuid4()
        self.events: list[Event] = []
        self.effects: list[OutboxMessage] = []
        self.versions = Versions()
        self.notices: list[str] = []
        if head.recorded_at and call.now < head.recorded_at:
            self.notices.append(
                f"the shop's clock ({time_text(call.now)}) is behind the last event "
                f"({time_text(head.recorded_at)}); the event is kept, check the clock"
            )

    @property
    def next_seq(self) -> int:
        return self.head.seq + 1

    def append(self, kind: str, stream: str, data: dict[str, Any]) -> Event:
        """Append one event at the head and project it; the event is stored at the end."""
        event = Event(
            seq=self.next_seq,
            kind=kind,
            version=kind_of(kind).version,
            stream=stream,
            body=dumps(data),
            actor=self.call.by,
            occurred_at=self.call.at,
            recorded_at=self.call.now,
            command_id=self.command_id,
            prev_hash=self.head.hash,
        )
        event.hash = event_hash(event)
        self.head.seq, self.head.hash, self.head.recorded_at = event.seq, event.hash, event.recorded_at
        project(event)
        self.versions.note(event)
        command_cache.forget_after(kind)
        self.events.append(event)
        return event

    def effect(self, kind: str, subject: str) -> None:
        """Queue an outbox message beside an event; the worker runs it once this is committed."""
        self.effects.append(
            OutboxMessage(kind=kind, subject=subject, created_at=self.call.now, next_at=self.call.now)
        )
        transaction.on_commit(partial(broker.wake, "jobs.tasks.do_effects"))

    def tell_now(self) -> None:
        """Wake the sweep after the commit, so that due reminders go out now."""
        transaction.on_commit(partial(broker.wake, "jobs.tasks.sweep"))

    def require_owner(self, what: str, *, field: str = "by") -> None:
        """Refuse a maker. Only the owner may change money or settings."""
        if any(person.id == self.call.by and not person.is_owner for person in everybody()):
            raise Forbidden(
                f"{what} is the owner's",
                field=field,
                value=self.call.by if field == "by" else None,
                allowed="an owner",
            )

    def check_version(self, version: int, *, what: str) -> None:
        """Refuse if the caller saw an older version than the present one."""
        if self.call.seen is not None and self.call.seen != version:
            raise Stale(
                f"{what} changed since it was last seen",
                field="seen_version",
                value=self.call.seen,
                allowed=str(version),
            )


def command(
    change: Callable[Concatenate[CommandTransaction, P], None],
) -> Callable[Concatenate[CommandContext, P], CommandResult]:
    """Run a change as one transaction under the lock of the log, once for each idempotency key."""

    @wraps(change)
    def run(call: CommandContext, *args: P.args, **kwargs: P.kwargs) -> CommandResult:
        with command_cache.fresh_memory(), transaction.atomic():
            head = lock_log()
            earlier = replayed_result(call)
            if earlier:
                return earlier
            tx = CommandTransaction(call, head)
            change(tx, *args, **kwargs)
            _close(tx)
        return CommandResult(events=tx.events, notices=tx.notices)

    return run  # type: ignore[return-value]  # the stubs name the argument


def lock_log() -> LogHead:
    """Lock the head of the log until the end of the transaction; values read before may be stale."""
    if not command_cache.is_command():  # a command begins with nothing
        command_cache.forget_all()
    head = LogHead.objects.select_for_update().filter(id=1).first()
    if head is None:
        LogHead.objects.get_or_create(id=1)
        head = LogHead.objects.select_for_update().get(id=1)
    return head


def head_seq() -> int:
    """Return the number of the last event; while it stays, no page is stale."""
    return LogHead.objects.filter(id=1).values_list("seq", flat=True).first() or 0


def replayed_result(call: CommandContext) -> CommandResult | None:
    """Return the earlier result of the same key; refuse the key with another request."""
    if not call.key:
        return None
    known = CommandKey.objects.filter(actor=call.by, key=call.key).first()
    if known is None:
        return None
    if known.fingerprint and known.fingerprint != _fingerprint(known.salt, call):  # empty: forgotten
        raise KeyReused(
            "this key was already used for another request",
            field="Idempotency-Key",
            value=call.key,
            allowed="a new key for a new request",
        )
    return CommandResult(events=list(Event.objects.filter(command_id=known.command_id)), replayed=True)


def _close(tx: CommandTransaction) -> None:
    if not tx.events:
        return
    store_pending()
    Event.objects.add(tx.events)
    OutboxMessage.objects.bulk_create(tx.effects)
    tx.head.save()
    tx.versions.write()
    projectors.project(tx.events)
    if tx.call.key:
        salt = secrets.token_hex(16)
        CommandKey.objects.create(
            actor=tx.call.by,
            key=tx.call.key,
            salt=salt,
            fingerprint=_fingerprint(salt, tx.call),
            command_id=tx.command_id,
            first_seq=tx.events[0].seq,
            last_seq=tx.events[-1].seq,
        )


def _fingerprint(salt: str, call: CommandContext) -> str:
    return hashlib.sha256((salt + call.fingerprint).encode("utf-8")).hexdigest()


def event_hash(event: Event) -> str:
    """Return the SHA-256 of every column but the hash itself, as canonical JSON."""
    columns = {
        f.attname: getattr(event, f.attname) for f in Event._meta.concrete_fields if f.attname != "hash"
    }
    return hashlib.sha256(dumps(columns).encode("utf-8")).hexdigest()


@dataclass(frozen=True, kw_only=True)
class Verified:
    """A valid chain: its length and the hash of its last event."""

    count: int
    head_hash: str


def verify(events: Iterable[Event]) -> Verified:
    """Verify the chain; refuse at the first event that breaks it."""
    last_hash, count = GENESIS, 0
    for event in events:
        if event.seq != count + 1:
            raise LogBroken(f"event {count + 1} is missing: the next one is {event.seq}")
        if event.prev_hash != last_hash:
            raise LogBroken(f"event {event.seq} does not follow event {count}: its previous hash differs")
        if event_hash(event) != event.hash:
            raise LogBroken(
                f"event {event.seq} ({event.kind}) was altered: its hash does not fit its columns"
            )
        payload_of(event)
        last_hash, count = event.hash, event.seq
    return Verified(count=count, head_hash=last_hash)


def verify_log() -> Verified:
    """Verify the stored log, and that its head is the last event."""
    verified = verify(all_events())
    head = LogHead.objects.filter(id=1).first() or LogHead()
    if (head.seq, head.hash) != (verified.count, verified.head_hash):
        raise LogBroken(
            f"the log ends at event {verified.count}, its head says {head.seq}: events are missing at the end"
        )
    return verified


def all_events() -> Iterator[Event]:
    """Yield every event in order, however many, a few at a time."""
    last, few = 0, list(Event.objects.order_by("seq")[:FEW])
    while few:
        yield from few
        last = few[-1].seq
        few = list(Event.objects.filter(seq__gt=last).order_by("seq")[:FEW])


def call_now(by: str, **more: Any) -> CommandContext:
    """Return the context of a command that happens and is recorded now."""
    now = timezone.now()
    return CommandContext(by=by, at=more.pop("at", None) or now, now=now, **more)
