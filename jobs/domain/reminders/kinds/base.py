"""What a kind of reminder says of itself, in three families: of a wait, a safety task, another subject.

A kind is one class with ``@reminder_kind`` in a module of this folder. Schedule, mails, bench, preferences,
API and translations take it from here, so it is named nowhere else.
"""

from abc import ABC, abstractmethod
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from operator import attrgetter
from typing import Any, ClassVar, Protocol, TypeVar

from django.db.models import Model, QuerySet
from django.utils.dateformat import format as date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.reminders.times import DAY, Mornings
from jobs.log.private_texts import Texts
from jobs.models import Event, Person, SafetyTask, Wait, WaitEstimate

LONGEST_KEY = 24
"""Characters that the tables have for a key."""


@dataclass(frozen=True, kw_only=True)
class Preference:
    """Mail, push, minutes early, allowed in quiet hours, minutes between repeats (0: no repeat)."""

    by_mail: bool = True
    by_push: bool = True
    lead_min: int = 0
    may_wake: bool = False
    repeat_min: int = 0


class ReminderKind(ABC):
    """A kind of reminder: its names, whom it reaches, and when it may disturb."""

    key: ClassVar[str]
    """The stored text, marked with ``gettext_noop``, as pages show it."""
    title: ClassVar[str]
    """The line in a person's preferences, marked with ``gettext_noop``."""
    place: ClassVar[int] = 1000
    """Its place among the kinds in lists; those of one place come by key."""
    usual: ClassVar[Preference] = Preference()
    """The preference of a person who set none; the screen always shows a reminder."""
    owners_only: ClassVar[bool] = False
    at_once: ClassVar[bool] = False
    """Due when it becomes known, as its time is that of the event. It is neither late nor repeated."""
    with_lead: ClassVar[bool] = False
    """Its time is known ahead, so a person may have it some minutes early."""
    always_wakes: ClassVar[bool] = False
    before_quiet: ClassVar[bool] = False
    """In quiet hours it comes as they begin, not as they end."""
    can_wait: ClassVar[bool] = False
    """The bench shows it after what can be done now."""
    does: ClassVar[str | Promise] = gettext_lazy("Open")
    """The one word on the bench that leads to what can be done."""
    is_answered: ClassVar[bool] = True
    """A person acknowledges or snoozes it; a safety task is settled by other commands."""

    def may_wake(self, person: Person, wish: Preference) -> bool:
        """Return whether this kind may disturb the quiet hours of a person."""
        return self.always_wakes or wish.may_wake


class WaitKind(ReminderKind):
    """A kind about a running wait, timed by its estimate."""

    supersedes: ClassVar[str] = ""
    """The key of the earlier kind of the same wait that an answer covers too."""
    tells_ready: ClassVar[bool] = False
    """It tells a ready time, which "not yet" takes back where it moves."""
    on_bench: ClassVar[str | Promise]
    """The words on the bench, before the time named by ``bench_time``."""
    bench_time: ClassVar[str] = "ready_at"
    """``ready_at``, ``closes_at``, or empty for no time."""
    bench_closes: ClassVar[bool] = False
    """The bench says too when the window closes."""

    @abstractmethod
    def moment(self, estimate: WaitEstimate) -> datetime | None:
        """Return when this wait is to be told of; None for not at all."""

    @abstractmethod
    def says(self, wait: Wait, now: datetime, *, zone: bool) -> str:
        """Return what has happened, or is about to, in a few words."""


class TaskKind(ReminderKind):
    """A kind about an open safety task. Rags and dust do not wait for quiet hours to end."""

    usual = Preference(may_wake=True)
    always_wakes = True
    is_answered = False

    @abstractmethod
    def moment(self, task: SafetyTask) -> datetime:
        """Return when people are asked about this task."""


@dataclass(frozen=True, kw_only=True)
class News:
    """One reminder in words, with the page where something can be done about it.

    ``about`` and ``line`` say it on one line of a phone: *003* and *heard nothing for 28 days*. ``late``
    marks what should have been done before.
    """

    headline: str
    path: str
    commission: str = ""
    about: str = ""
    line: str = ""
    late: bool = False


Fact = tuple[str | Promise, str]
"""The label and the text of a line below the headline."""
THEIR_WORDS = gettext_lazy("They wrote")
"""Label of a client's words, which go into mails but not through a push service."""


@dataclass(frozen=True, kw_only=True)
class Telling:
    """The private texts of the rows of many reminders, and today, which their words share."""

    texts: Texts
    today: date

    def day(self, day: date | None) -> str:
        """Return a day in words."""
        if day is None:
            return ""
        near = {self.today: _("today"), self.today + DAY: _("tomorrow")}
        return near.get(day, date_format(day, "D d M Y"))


class Load(Protocol):
    """A function that returns rows by name; every row for None."""

    def __call__(self, names: Collection[str] | None) -> Mapping[str, Any]: ...


def rows_by(field: str, rows: QuerySet[Any]) -> Load:
    """Return a function that loads these rows by the names in a field."""
    name_of = attrgetter(field.replace("__", "."))

    def load(names: Collection[str] | None) -> Mapping[str, Any]:
        found = rows.all() if names is None else rows.filter(**{f"{field}__in": names})
        return {str(name_of(row)): row for row in found}

    return load


class SubjectKind(ReminderKind):
    """A kind about something with a name, on the occasion of a day: ``commission:2026-014``.

    Kinds whose ``load`` or ``rests_on`` is the same function share its query.
    """

    noun: ClassVar[str]
    """The part of the subject before the colon."""
    load: ClassVar[Load]
    """Return the rows of subjects by their names."""
    rests_on: ClassVar[Load | None] = None
    """Return what the schedule rests on, by the names touched; set where those are no names of subjects."""
    after: ClassVar[tuple[str, ...]]
    """Kinds of event after which the schedule is computed again."""
    settings: ClassVar[tuple[str, ...]] = ("morning",)
    """Settings of the shop that the schedule rests on."""

    def touched(self, event: Event) -> Iterable[str]:
        """Return the names that an event of ``after`` touches."""
        return [event.stream.partition(":")[2]]

    def touched_by_reply(self, name: str) -> Iterable[str]:
        """Return the names to compute again where a reminder about the subject of this name is answered."""
        return [name]

    @abstractmethod
    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        """Return the times by subject; none, where a subject found is not told of any more.

        Where the touched names are those of subjects, one left out has no times.
        """

    def rows_of(self, row: Any) -> Iterable[Model]:
        """Return the rows whose private texts the words need."""
        return [row]

    @abstractmethod
    def news(self, row: Any, tell: Telling) -> News:
        """Return the headline and the page of one subject."""

    def facts(self, row: Any, tell: Telling) -> list[Fact]:
        """Return the facts below the headline of a mail."""
        return []


Kind = TypeVar("Kind", bound=ReminderKind)
_registered: dict[str, ReminderKind] = {}


def reminder_kind(kind: type[Kind]) -> type[Kind]:
    """Register a kind of reminder by its key; refuse one that leaves out what a kind has to say."""
    named = [name for base in kind.__mro__ for name in vars(base).get("__annotations__", {})]
    if missing := [name for name in named if not hasattr(kind, name)]:
        raise TypeError(f"{kind.__name__} has no {missing[0]}")
    if kind.key in _registered or not 0 < len(kind.key) <= LONGEST_KEY:
        raise ValueError(f"key {kind.key!r}: allowed is a free text of 1 to {LONGEST_KEY} characters")
    _registered[kind.key] = kind()
    return kind


def registered() -> list[ReminderKind]:
    """Return every registered kind, in the order of lists."""
    return sorted(_registered.values(), key=lambda kind: (kind.place, kind.key))
