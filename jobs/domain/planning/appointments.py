"""Commands on dates outside the shop: set, change, done, cancelled."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.dateformat import format as date_format

from jobs.core.errors import AlreadyDone, Invalid, NotFound, Probably
from jobs.core.parsing import CLOCK
from jobs.domain import lookups
from jobs.domain.checks import in_range, not_before, one_of, refuse_if_ended
from jobs.domain.clients.updates import tell
from jobs.domain.working_time.queries import why_closed
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Appointment, Commission, Person

Kind, Step = Appointment.Kind, Appointment.Step
FARTHEST = timedelta(days=3 * 365)
MOST_MINUTES, MOST_HANDS = 24 * 60, 10
USUAL_MINUTES = {Kind.SITE_VISIT: 60, Kind.WOOD: 120, Kind.DELIVERY: 120, Kind.OTHER: 60}
"""How long a date takes where nobody says so: common practice, no source."""
TO_CLIENT = {
    Kind.SITE_VISIT: "We come to you on {day} to measure.",
    Kind.DELIVERY: "We deliver on {day}.",
}
"""What a client hears of a date, by its kind; other kinds do not concern a client."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What somebody says of a date outside the shop. ``at`` is a clock such as 10:30; empty for all day.

    ``anyway`` confirms a day on which the shop is closed or the client takes nothing.
    """

    kind: str
    day: date
    at: str = ""
    minutes: int | None = None
    place: str = ""
    note: str = ""
    hands: int = 1
    people: Sequence[str] = ()
    tell_client: bool = False
    anyway: bool = False


@command
def set_appointment(tx: CommandTransaction, /, *, commission: str = "", **said: Any) -> None:
    """Set a date outside the shop, of a commission or of the shop itself; tell the client where asked."""
    found = lookups.commission(commission) if commission else None
    if found is not None:
        refuse_if_ended(found)
    asked, today = Asked(**said), tx.call.day
    not_before(asked.day, today, "this day is over", field="day")
    data = _checked(asked, found, today)
    _ask_about_closed_days(asked, found)
    stream = f"commission:{found.number}" if found else "appointments"
    tx.append("appointment_set", stream, {"commission": commission or None, **data})
    _tell(tx, found, asked)


@command
def change_appointment(tx: CommandTransaction, /, *, appointment: int, **said: Any) -> None:
    """Change a planned date; all that is said of it replaces what stood there."""
    found = planned(appointment)
    tx.check_version(found.version, what=f"appointment {appointment}")
    asked = Asked(**said)
    data = _checked(asked, found.commission, tx.call.day)
    if asked.day != found.day:
        _ask_about_closed_days(asked, found.commission)
    tx.append("appointment_changed", _stream(found), {"appointment": appointment, **data})
    moved = (asked.day, data["starts_at"]) != (found.day, found.starts_at)
    if moved or not found.is_told:
        _tell(tx, found.commission, asked)


@command
def finish_appointment(tx: CommandTransaction, *, appointment: int) -> None:
    """Record that a date was kept."""
    found = planned(appointment)
    data = {"appointment": appointment, "step": str(Step.DONE), "reason": None}
    tx.append("appointment_ended", _stream(found), data)


@command
def cancel_appointment(tx: CommandTransaction, *, appointment: int, reason: str = "") -> None:
    """Cancel a date; the client who was told of it hears that."""
    found = planned(appointment)
    kept = store_private_text(reason, field="reason")
    tx.append(
        "appointment_ended",
        _stream(found),
        {"appointment": appointment, "step": str(Step.CANCELLED), "reason": kept},
    )
    if found.is_told and found.commission is not None:
        day = day_words(found.day, found.starts_at)
        tell(tx, found.commission, f"The date on {day} does not hold. We write as soon as there is another.")


def planned(key: int) -> Appointment:
    """Return a planned date; refuse an unknown one, and one that is over."""
    found = Appointment.objects.select_related("commission__client").filter(id=key).first()
    if found is None:
        raise NotFound("there is no such date", field="appointment", value=key)
    if found.step != Step.PLANNED:
        raise AlreadyDone(
            f"this date is {found.step}", field="appointment", value=key, allowed="a planned one"
        )
    return found


def _stream(found: Appointment) -> str:
    return f"commission:{found.commission.number}" if found.commission else "appointments"


def _checked(asked: Asked, commission: Commission | None, today: date) -> dict[str, Any]:
    one_of(asked.kind, Kind.values, field="kind")
    in_range(asked.day, date(2000, 1, 1), today + FARTHEST, "this day is too far off", field="day")
    in_range(asked.hands, 1, MOST_HANDS, "this many people cannot be planned", field="hands")
    minutes = None if not asked.at else asked.minutes or USUAL_MINUTES[Kind(asked.kind)]
    if minutes is not None:
        in_range(minutes, 5, MOST_MINUTES, "this is no length for a date", field="minutes")
    if asked.tell_client and (commission is None or asked.kind not in TO_CLIENT):
        raise Invalid(
            "this concerns no client", field="tell_client", value=True,
            allowed="a site visit or a delivery of a commission",
        )  # fmt: skip
    return {
        "kind": str(asked.kind),
        "day": asked.day,
        "starts_at": starts_at(asked.day, asked.at),
        "minutes": minutes,
        "place": store_private_text(asked.place, field="place", longest=400),
        "note": store_private_text(asked.note, field="note", longest=2000),
        "hands": asked.hands,
        "people": _people(asked.people),
        "is_told": asked.tell_client,
    }


def _ask_about_closed_days(asked: Asked, commission: Commission | None) -> None:
    """Refuse a delivery or a visit on a closed day until the caller confirms it with ``anyway``."""
    if asked.anyway or asked.kind not in TO_CLIENT:
        return
    if why := why_closed(asked.day, commission):
        allowed = "another day, or keep this one"
        says = f"{why}. Choose {allowed}."
        raise Probably(says, field="anyway", value=False, allowed=allowed, extra={"day": str(asked.day)})


def starts_at(day: date, clock: str) -> datetime | None:
    """Return the moment of a clock such as 10:30 on a day; None for an empty one."""
    if not clock:
        return None
    if not CLOCK.fullmatch(clock):
        raise Invalid("not a time of day", field="at", value=clock[:20], allowed="00:00 to 23:59")
    hour, minute = map(int, clock.split(":"))
    naive = datetime(day.year, day.month, day.day, hour, minute)
    return timezone.make_aware(naive)


def _people(keys: Sequence[str]) -> list[str]:
    known = set(Person.objects.filter(id__in=keys, is_active=True).values_list("id", flat=True))
    for key in keys:
        if key not in known:
            raise Invalid("nobody here has this key", field="people", value=key[:40], allowed="people here")
    return sorted(known)


def _tell(tx: CommandTransaction, commission: Commission | None, asked: Asked) -> None:
    if asked.tell_client and commission is not None:
        day = day_words(asked.day, starts_at(asked.day, asked.at))
        tell(tx, commission, TO_CLIENT[Kind(asked.kind)].format(day=day))


def day_words(day: date, begins: datetime | None) -> str:
    """Return a day, and its time where it has one: "Friday 4 December, 10:00"."""
    clock = f", {timezone.localtime(begins):%H:%M}" if begins else ""
    return f"{date_format(day, 'l j F')}{clock}"
