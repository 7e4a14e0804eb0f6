"""Entries of the calendar feeds: planned work, running waits, windows, promised
deliveries, and their last move.

A worker's task brings the entries up to date; opening a feed only reads them.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, time, timedelta
from itertools import groupby

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.crypto import salted_hmac

from jobs.domain.reminders.feeds.entries import Planned, Words, line
from jobs.domain.reminders.feeds.planned_work import KIND, planned_entries, steady, words_of_work
from jobs.domain.reminders.kinds.waits import closing_soon
from jobs.domain.waits.route import look_at, safe_at
from jobs.log import leases
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Appointment, CalendarEntry, Commission, Stage, Wait, WaitEstimate

LEASE = timedelta(seconds=30)
SHOWN_AFTER = timedelta(days=7)
"""Time that an ended entry stays in the feeds as cancelled, so that every calendar learns of it."""
MORNING = time(8)
SECOND = timedelta(seconds=1)
MOST_AT_ONCE = 500
TIMES = ("starts_at", "ends_at", "alarm_at", "second_alarm_at", "day")
CHANGING = (*TIMES, "sequence", "digest", "modified_at", "cancelled_at")


def planned() -> list[Planned]:
    """Return the entries to show by the present estimates and promises."""
    estimates = WaitEstimate.objects.filter(wait__step=Wait.Step.RUNNING, ready_at__isnull=False)
    live = estimates.exclude(wait__stage__piece__commission__step__in=Commission.ENDED)
    live = live.exclude(
        wait__stage__piece__commission__step__in=Commission.UNDECIDED,
        wait__stage__piece__commission__quote_declined=True,
    ).select_related("wait")
    promised = Commission.objects.filter(step__in=Commission.UNDELIVERED, promise_on__isnull=False).exclude(
        step__in=Commission.UNDECIDED, quote_declined=True
    )
    dates = Appointment.objects.filter(step=Appointment.Step.PLANNED)
    return [
        *map(_of_wait, live.order_by("wait_id")),
        *map(_of_promise, promised.order_by("number")),
        *map(_of_appointment, dates.order_by("id")),
    ]


def _of_wait(estimate: WaitEstimate) -> Planned:
    """Return an entry that begins when the work is safe; its length is that of the window, if any."""
    safe = safe_at(estimate.wait, estimate)
    assert safe is not None, "planned() takes waits with a time alone"
    ready, about = _whole(safe, up=True), f"wait:{estimate.wait_id}"
    if estimate.closes_at is None:
        return Planned(about=about, starts_at=ready, alarm_at=ready)
    closes, soon = _whole(estimate.closes_at, up=False), closing_soon(estimate)
    if look := look_at(estimate.wait, estimate):
        return Planned(about=about, starts_at=ready, alarm_at=_whole(look, up=True), second_alarm_at=ready)
    return Planned(
        about=about,
        starts_at=ready,
        ends_at=_after(ready, closes),
        alarm_at=ready,
        second_alarm_at=_whole(soon, up=False) if soon else None,
    )


def _of_promise(commission: Commission) -> Planned:
    assert commission.promise_on is not None, "planned() takes promised commissions alone"
    eve = commission.promise_on - timedelta(days=1)
    zone = timezone.get_default_timezone()
    alarm = datetime.combine(eve, MORNING, tzinfo=zone)
    return Planned(about=f"commission:{commission.number}", day=commission.promise_on, alarm_at=alarm)


def _of_appointment(one: Appointment) -> Planned:
    """Return an entry of the date's own length, told an hour before; without a clock, of its day."""
    about = f"appointment:{one.id}"
    if one.starts_at is None:
        zone = timezone.get_default_timezone()
        alarm = datetime.combine(one.day - timedelta(days=1), MORNING, tzinfo=zone)
        return Planned(about=about, day=one.day, alarm_at=alarm)
    ends = one.starts_at + timedelta(minutes=one.minutes or 0)
    return Planned(
        about=about,
        starts_at=one.starts_at,
        ends_at=_after(one.starts_at, ends),
        alarm_at=one.starts_at - timedelta(hours=1),
    )


def _after(start: datetime, end: datetime) -> datetime | None:
    """Return the end if it lies after the start; without one, the entry is a moment."""
    return end if end > start else None


def _whole(moment: datetime, *, up: bool) -> datetime:
    """Return a whole second, as calendars need: ready times round up, closing times round down."""
    floor = moment.replace(microsecond=0)
    return floor + SECOND if up and floor < moment else floor


def refresh(now: datetime) -> int:
    """Bring the entries up to date; return how many changed. Many changes are spread over several runs.

    The lease comes first: computing beside another process would only slow that process down.
    """
    with leases.hold("calendar", now=now, length=LEASE) as mine:
        return _write(_changed(now)[:MOST_AT_ONCE]) if mine else 0


def _changed(now: datetime) -> list[CalendarEntry]:
    """Return the changed entries, computed apart from the writing, which then holds the database briefly."""
    work, people = planned_entries(now)
    wanted = {p.about: p for p in planned()}
    shown = Q(cancelled_at=None) | Q(about__in=[*wanted, *(p.about for p in work)])
    kept = {entry.about: entry for entry in CalendarEntry.objects.filter(shown)}
    wanted |= steady(work, kept, now)
    said = words_of([*wanted, *kept], people)
    changed = []
    for about in {**wanted, **kept}:
        entry = kept.get(about) or CalendarEntry(about=about, sequence=0, added_at=now, digest="")
        if _bring(entry, wanted.get(about), _digest(said.get(about)), now):
            changed.append(entry)
    return changed


@transaction.atomic
def _write(entries: list[CalendarEntry]) -> int:
    if not entries:
        return 0
    CalendarEntry.objects.bulk_create([e for e in entries if e.pk is None])
    old = [e for e in entries if e.pk is not None]
    CalendarEntry.objects.bulk_update(old, CHANGING, batch_size=100)
    return len(entries)


def _bring(entry: CalendarEntry, plan: Planned | None, digest: str, now: datetime) -> bool:
    """Set the times and words of an entry; return whether anything changed.

    The sequence number grows when the times move, and when the entry goes or comes back.
    """
    times = {name: getattr(plan, name) for name in TIMES} if plan else {}
    moved = any(getattr(entry, name) != value for name, value in times.items())
    ended = None if plan else entry.cancelled_at or now
    moved = moved or (ended is None) != (entry.cancelled_at is None)
    if not moved and digest == entry.digest:
        return False
    if moved and entry.pk:
        entry.sequence += 1
    for name, value in {**times, "cancelled_at": ended, "digest": digest, "modified_at": now}.items():
        setattr(entry, name, value)
    return True


def _digest(words: Words | None) -> str:
    text = repr(words)
    return salted_hmac("jobs.calendar_entries", text, algorithm="sha256").hexdigest()


def shown_to(*, owner: bool, now: datetime, person: str = "") -> list[tuple[CalendarEntry, Words]]:
    """Return the entries of a feed with their words: running ones and lately cancelled ones.

    Of planned work a helper has what is planned for ``person``, the owner all.
    """
    recent = CalendarEntry.objects.filter(cancelled_at__gt=now - SHOWN_AFTER)
    entries = (CalendarEntry.objects.filter(cancelled_at=None) | recent).order_by("id")
    people = planned_entries(now)[1]
    said = words_of([entry.about for entry in entries], people)
    return [(e, w) for e in entries if (w := said.get(e.about)) and (owner or _is_for(w, person))]


def _is_for(words: Words, person: str) -> bool:
    return not words.owner_only and (not words.people or person in words.people)


def words_of(abouts: Iterable[str], people: Mapping[str, tuple[str, ...]]) -> dict[str, Words]:
    """Return the words of these entries, in a fixed number of queries; removed subjects are left out."""
    keys: dict[str, list[str]] = {"wait": [], "commission": [], "appointment": [], KIND: []}
    for about in abouts:
        kind, _, key = about.partition(":")
        keys[kind].append(key)
    waits = list(
        Wait.objects.filter(id__in=map(int, keys["wait"])).select_related("stage__piece__commission")
    )
    commissions = list(Commission.objects.filter(number__in=keys["commission"]))
    dates = list(
        Appointment.objects.filter(id__in=map(int, keys["appointment"])).select_related("commission")
    )
    stages = list(Stage.objects.filter(piece__in={w.stage.piece_id for w in waits}).order_by("position"))
    of_piece = {key: list(some) for key, some in groupby(sorted(stages, key=_piece), key=_piece)}
    of_dates = [one.commission for one in dates if one.commission]
    every = [*commissions, *of_dates, *(w.stage.piece.commission for w in waits)]
    labels = [w.stage.piece.label_ref for w in waits]
    texts = Texts([*(c.title_ref for c in every), *labels, *(s.title_ref for s in stages), *refs_of(dates)])
    return (
        {f"wait:{w.id}": _wait_words(w, of_piece[w.stage.piece_id], texts) for w in waits}
        | {f"commission:{c.number}": _promise_words(c, texts) for c in commissions}
        | {f"appointment:{one.id}": _date_words(one, texts) for one in dates}
        | words_of_work(keys[KIND], people)
    )


def _piece(stage: Stage) -> int:
    return int(stage.piece_id)


def _wait_words(wait: Wait, stages: list[Stage], texts: Texts) -> Words:
    piece = wait.stage.piece
    held = [s for s in stages if s.key in wait.holds]
    names = ", ".join(texts[s.title_ref] if s.title_ref else s.spec["title"] for s in held) or wait.title
    what = "window" if wait.closes_s is not None else "ready"
    return Words(
        summary=line(f"{piece.number} {names}: {what}"),
        description=line(f"{texts[piece.label_ref]}, {texts[piece.commission.title_ref]}")
        + f"\n{line(wait.title)}. An estimate: the product's own sheet comes first.",
        link=f"{settings.PUBLIC_URL}/pieces/{piece.number}/stages/{wait.stage.key}/",
        owner_only=bool(wait.stage.spec["owner_only"]),
    )


def _promise_words(commission: Commission, texts: Texts) -> Words:
    title = texts[commission.title_ref]
    return Words(
        summary=line(f"{commission.number} {title}: promised"),
        description="The day this commission was promised for.",
        link=f"{settings.PUBLIC_URL}/commissions/{commission.number}/",
    )


def _date_words(one: Appointment, texts: Texts) -> Words:
    about = f"{one.commission.number} {texts[one.commission.title_ref]}: " if one.commission else ""
    said = [texts[one.place_ref], texts[one.note_ref], f"People needed: {one.hands}"]
    return Words(
        summary=line(f"{about}{one.get_kind_display().lower()}"),
        description="\n".join(line(text) for text in said if text),
        link=f"{settings.PUBLIC_URL}/plan/dates/{one.id}/",
    )
