"""Beat by a clock that may be set back, on a disk that may be full.

When each entry last ran is kept in a small file, so that what happens once a night comes after a night off.
"""

import json
import logging
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from celery import beat
from celery.utils.time import maybe_make_aware

AHEAD_ALLOWED = timedelta(seconds=1)
log = logging.getLogger(__name__)


class Scheduler(beat.Scheduler):  # type: ignore[misc]
    """Celery's own would wait until the clock has come to the old times again, and end on a full disk."""

    def __init__(self, *args: Any, schedule_filename: str, **kwargs: Any) -> None:
        self.file = Path(schedule_filename)
        super().__init__(*args, **kwargs)

    def setup_schedule(self) -> None:
        super().setup_schedule()
        for name, at in self.kept().items():
            if name in self.schedule:
                self.schedule[name].last_run_at = at

    def kept(self) -> dict[str, datetime]:
        """Return when each entry last ran; nothing where the file is missing or makes no sense."""
        with suppress(OSError, ValueError, AttributeError, TypeError):
            kept = json.loads(self.file.read_text("utf-8")).items()
            return {name: maybe_make_aware(datetime.fromisoformat(at)) for name, at in kept}
        return {}

    def sync(self) -> None:
        times = {name: entry.last_run_at.isoformat() for name, entry in self.schedule.items()}
        fresh = self.file.with_suffix(".new")
        try:
            fresh.write_text(json.dumps(times), "utf-8")
            fresh.replace(self.file)
        except OSError as problem:
            log.warning("the times of beat were not kept: %s", problem)

    def tick(self, *args: Any, **kwargs: Any) -> float:
        self.forget_the_future()
        return float(super().tick(*args, **kwargs))

    def forget_the_future(self) -> None:
        """Let an entry that last ran in the future count from now on: the clock was set back."""
        behind = False
        for entry in self.schedule.values():
            now = maybe_make_aware(entry.default_now())
            if maybe_make_aware(entry.last_run_at) > now + AHEAD_ALLOWED:
                entry.last_run_at, behind = now, True
        if behind:
            self._heap = None  # made afresh from the entries
