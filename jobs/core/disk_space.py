"""Free disk space: an early warning, and a reserve that pictures leave to events and papers."""

import errno
import shutil
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import Error, connection
from django.utils.translation import gettext as _

from jobs.core.errors import NoRoom

MB = 1_000_000
WARN, WARN_SHARE = 500 * MB, 0.05
RESERVE, RESERVE_SHARE = 200 * MB, 0.02
"""Bytes, or of a small disk this share: common practice, no source."""
FULL = {errno.ENOSPC, errno.EDQUOT}
SAYS_FULL = ("disk is full", "No space left on device")
"""The two databases' words for a full disk."""


@dataclass(frozen=True, kw_only=True)
class Room:
    """Free bytes on the disk of the data folder or of the database, whichever is fuller."""

    free: int
    total: int

    @property
    def is_low(self) -> bool:
        return self.free < min(WARN, self.total * WARN_SHARE)

    @property
    def is_reserve(self) -> bool:
        return self.free < min(RESERVE, self.total * RESERVE_SHARE)

    @property
    def words(self) -> str:
        return f"{self.free / MB:.0f} MB" if self.free < 1000 * MB else f"{self.free / MB / 1000:.1f} GB"


def room() -> Room:
    """Return the room on the fuller disk; a database server watches its disk itself."""
    places = [Path(settings.DATA_DIR)]
    if connection.vendor == "sqlite":
        places.append(Path(connection.settings_dict["NAME"]).parent)
    found = [shutil.disk_usage(place) for place in places if place.exists()]
    least = min(found, key=lambda usage: usage.free / (usage.total or 1))
    return Room(free=least.free, total=least.total)


def refuse_if_reserve(field: str) -> None:
    """Refuse an upload once only the reserve for events and papers is free."""
    left = room()
    if left.is_reserve:
        raise NoRoom(
            _(
                "the disk of the shop is nearly full, %(free)s free, so no pictures are taken; "
                "free some space, then send it again"
            )
            % {"free": left.words},
            field=field,
        )


def is_full(raised: BaseException) -> bool:
    """Return whether an error of the system or the database means that the disk is full."""
    if isinstance(raised, OSError):
        return raised.errno in FULL
    return isinstance(raised, Error) and any(words in str(raised) for words in SAYS_FULL)
