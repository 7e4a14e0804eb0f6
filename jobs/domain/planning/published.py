"""The published plan: what it says of work, waits and commissions. Pages, feeds and the API read this."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext_noop

UNDER_WAY, CLOSES, FREES, PINNED, PROMISED, WAIT, CLIENT = (
    "under way", "closes", "frees", "pinned", "promised", "wait", "client",
)  # fmt: skip
STAGE, PERSON, PLACE = "stage", "person", "place"
WHY = {
    UNDER_WAY: gettext_noop("is under way"),
    CLOSES: gettext_noop("before this closes: %(about)s"),
    FREES: gettext_noop("frees the clamps for %(about)s"),
    PINNED: gettext_noop("pinned here"),
    PROMISED: gettext_noop("promised for %(about)s"),
    WAIT: gettext_noop("starts the longest wait: %(about)s"),
    CLIENT: gettext_noop("the client answers by then: %(about)s"),
}
"""Why work stands where it does in the plan. ``about`` is a wait's title where something closes or starts,
the number of a commission where clamps are freed, a day is promised or a client answers.
"""


@dataclass(frozen=True, kw_only=True)
class PlannedWork:
    """One attended stretch of a stage. A stage longer than half a day has several ``parts``.

    ``people`` are ids of persons. ``maybe`` is work of a commission that is only quoted. ``why`` is a key of
    ``WHY`` and ``about`` what it is about: a wait's title, a commission, a resource.
    """

    commission: str
    piece: str
    stage: str
    begins: datetime
    ends: datetime
    people: tuple[str, ...]
    part: int = 1
    parts: int = 1
    place: str = ""
    maybe: bool = False
    pinned: bool = False
    why: str = ""
    about: str = ""


@dataclass(frozen=True, kw_only=True)
class PlannedWait:
    """A wait between two stages, and what it holds: ``place`` is "clamps", "finishing room", "rack" or empty.

    It is over at ``ends`` at the cautious end of its estimate, at ``likely`` most likely; ``closes`` is the
    end of its window.
    """

    commission: str
    piece: str
    stage: str
    kind: str
    title: str
    begins: datetime
    likely: datetime
    ends: datetime
    closes: datetime | None = None
    place: str = ""
    maybe: bool = False


@dataclass(frozen=True, kw_only=True)
class Finish:
    """When a commission is ready by the plan, with the days by which it is at 50, 80 and 95 %.

    ``held_by`` says what keeps it longest: (kind, name). A "stage" is named by piece and key, such as
    "2026-014-1/sand", a "person" by id, a "wait" by title, a "client" by commission, a "place" by its word;
    "clamps" have no name.
    ``risk_since`` is the day on which a promise came to be at risk; ``helps`` what would help most, as a key
    of ``HELPS`` with its subject.
    """

    commission: str
    ready_on: date
    in_half: date | None = None
    in_eight_of_ten: date | None = None
    in_nineteen_of_twenty: date | None = None
    promised: date | None = None
    maybe: bool = False
    held_by: tuple[str, str] = ("", "")
    risk_since: date | None = None
    helps: tuple[str, str] = ("", "")

    @property
    def expected_on(self) -> date:
        """Return the day by which it is ready 8 times in 10; the day of the plan where no odds are known."""
        return self.in_eight_of_ten or self.ready_on


@dataclass(frozen=True, kw_only=True)
class NotPlanned:
    """A stage that no plan can hold, and the words for the maker: what, and what to do."""

    commission: str
    piece: str
    stage: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Moved:
    """Work that moved by an hour or more since an earlier plan, or with an empty ``stage`` the day on which
    its commission is ready. ``why`` is in words, empty where nobody can tell.
    """

    commission: str
    was: datetime
    becomes: datetime
    piece: str = ""
    stage: str = ""
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Published:
    """The last good plan. ``coarse_from`` is the day from which it counts in half-days; ``trouble`` says why
    a newer one was not published, empty where it was.
    """

    made_at: datetime
    work: tuple[PlannedWork, ...]
    waits: tuple[PlannedWait, ...]
    finishes: tuple[Finish, ...]
    not_planned: tuple[NotPlanned, ...] = ()
    coarse_from: date | None = None
    trouble: str = ""
