"""Words of many reminders about subjects, read at once: each kind words its own."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import cached_property
from typing import Any

from jobs.domain.reminders.kinds import SUBJECT_KINDS
from jobs.domain.reminders.kinds.base import Fact, Load, News, Telling
from jobs.domain.reminders.times import local_day
from jobs.log.private_texts import Texts, refs_of
from jobs.models import ReminderDue


class SubjectNews:
    """The words of many reminders, read at once: ``news[due]``."""

    def __init__(self, dues: Iterable[ReminderDue], *, now: datetime) -> None:
        dues = list(dues)
        names: dict[Load, set[str]] = defaultdict(set)
        for due in dues:
            names[SUBJECT_KINDS[due.kind].load].add(_name(due))
        self._rows: dict[Load, Mapping[str, Any]] = {load: load(some) for load, some in names.items()}
        self.rows = [row for due in dues for row in SUBJECT_KINDS[due.kind].rows_of(self._row(due))]
        self._today = local_day(now)

    @cached_property
    def _tell(self) -> Telling:
        """Return what words need; the texts of ``rows`` make no query where they were read before."""
        return Telling(texts=Texts(refs_of(self.rows)), today=self._today)

    def __getitem__(self, due: ReminderDue) -> News:
        return SUBJECT_KINDS[due.kind].news(self._row(due), self._tell)

    def facts(self, due: ReminderDue) -> list[Fact]:
        """Return the facts below the headline, where there is room."""
        return SUBJECT_KINDS[due.kind].facts(self._row(due), self._tell)

    def _row(self, due: ReminderDue) -> Any:
        return self._rows[SUBJECT_KINDS[due.kind].load][_name(due)]


def _name(due: ReminderDue) -> str:
    return due.subject.partition(":")[2]
