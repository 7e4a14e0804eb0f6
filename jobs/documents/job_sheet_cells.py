"""Words of a job sheet: sentences, times as a bench clock tells them, and blocks of lines and rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from calcs.asking.figure_wording import format_figure
from calcs.kit.amounts import format_duration, format_work
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.documents.kit.wording import clean, without_marks

MINUTE_S, HOUR_S = 60, 3600


@dataclass(frozen=True, kw_only=True)
class Block:
    """A part of the sheet: lines of a name and a text, rows under a head, and notes."""

    title: str
    lines: tuple[tuple[str, str], ...] = ()
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()


def sentence(text: str) -> str:
    text = clean(text)
    return f"{text[:1].upper()}{text[1:]}".rstrip(".") + "." if text else ""


def sentences(lines: Iterable[str], sizes: Sizes) -> tuple[str, ...]:
    """Return sentences of calculations, in the unit of the paper and without the basis of their figures."""
    return tuple(sentence(sizes.text(without_marks(line))) for line in lines)


ASIDE = (
    "pressure printed", "the same force", "clamps on other work", "law:", "warmth and dry air",
    "beyond 6 to 14 %", "figured at the finished thickness", "spaced otherwise than usual", "full swing",
    "equal widths look", "choose two rows", "turned over between its faces", "a mean of many boards",
    "counted on a rail",
)  # fmt: skip
"""Notes that begin so explain a figure and ask for nothing; they stand with its sources."""


def notes_for_hands(notes: Iterable[str], sizes: Sizes) -> tuple[str, ...]:
    """Return the notes that say what to do."""
    return sentences((note for note in notes if not note.startswith(ASIDE)), sizes)


def after(seconds: int | None) -> str:
    """Return a time from which something may be done, rounded up: to minutes, from two hours on to hours.

    Examples
    --------
    >>> after(1500), after(7409)
    ('25\\xa0min', '3\\xa0h')
    """
    if seconds is None:
        return ""
    step = HOUR_S if seconds > 2 * HOUR_S else MINUTE_S
    return _told(-(-seconds // step) * step) if seconds else "at once"


def by(seconds: int | None) -> str:
    """Return a time by which something has to be done, rounded down likewise."""
    if seconds is None:
        return ""
    step = HOUR_S if seconds >= 2 * HOUR_S else MINUTE_S
    return _told(seconds // step * step)


def _told(seconds: int) -> str:
    return format_duration(seconds).replace(" ", NBSP)


def work(seconds: int | None) -> str:
    """Return how long work takes, as an estimate."""
    return "" if seconds is None else format_work(seconds).replace(" ", NBSP)


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: "1 can", "2 cans"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def listed(texts: Iterable[str]) -> str:
    return ", ".join(text for text in texts if text)


def number(value: Decimal) -> str:
    return format_figure("", value)
