"""What an entry of the calendar feeds is: its times, and its words."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, kw_only=True)
class Planned:
    """The times of one entry, in whole seconds."""

    about: str
    starts_at: datetime | None = None
    ends_at: datetime | None = None
    alarm_at: datetime | None = None
    second_alarm_at: datetime | None = None
    day: date | None = None


@dataclass(frozen=True, kw_only=True)
class Words:
    """The words of an entry, without money and without a client's address.

    ``people`` are those whose feeds alone carry it, beside the owner's; empty for everybody's.
    """

    summary: str
    description: str
    link: str
    owner_only: bool = False
    people: tuple[str, ...] = ()


def line(text: str) -> str:
    """Return the text in one line, without unprintable characters."""
    return "".join(c for c in " ".join(text.split()) if c.isprintable())
