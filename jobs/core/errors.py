"""Every refusal of the shop, by name.

A refusal names the field, the value and the allowed values, and carries a machine code. The API turns it into
a problem document, a page into a sentence beside the field. Nothing has been written by then. The first line
of a class is its default message.
"""

from typing import Any

from django.db import Error as DatabaseError


class ShopError(Exception):
    """The shop refuses this."""

    code = "refused"
    status = 409

    def __init__(
        self,
        detail: str = "",
        *,
        field: str = "",
        value: object = None,
        allowed: str = "",
        extra: dict[str, Any] | None = None,
    ) -> None:
        self.detail = detail or (type(self).__doc__ or "").strip()
        self.field = field
        self.value = value
        self.allowed = allowed
        self.extra = extra or {}
        super().__init__(self.detail)


class Invalid(ShopError):
    """A value is not allowed."""

    code = "invalid"
    status = 422


class NotFound(ShopError):
    """There is no such thing here."""

    code = "not-found"
    status = 404


class Forbidden(ShopError):
    """This is not for this person."""

    code = "forbidden"
    status = 403


class WrongState(ShopError):
    """The state of things does not allow this."""

    code = "wrong-state"


class NotYet(ShopError):
    """Something has to come first."""

    code = "not-yet"


class GateShut(ShopError):
    """A gate is not met; it can be overridden with a reason."""

    code = "gate-shut"


class SeveralClampings(ShopError):
    """Several clampings are computed; decide before the glue-up starts."""

    code = "several-clampings"


class AlreadyDone(ShopError):
    """Somebody has done this already."""

    code = "already-done"


class Probably(ShopError):
    """This looks like a mistake; say that it is meant."""

    code = "say-it-is-meant"


class Stale(ShopError):
    """Something changed since this was last seen."""

    code = "stale"


class Expired(ShopError):
    """The last day of this offer has passed."""

    code = "expired"


class Declined(ShopError):
    """This offer was declined."""

    code = "declined"


class Revised(ShopError):
    """There is a newer version of this offer than the one that was shown."""

    code = "revised"


class KeyReused(ShopError):
    """This idempotency key was used for another request."""

    code = "key-reused"
    status = 422


class RestsOnPaper(ShopError):
    """An issued paper rests on this."""

    code = "rests-on-paper"


class ClockAhead(ShopError):
    """The time given lies ahead of the shop's clock."""

    code = "clock-ahead"
    status = 422


class TooMany(ShopError):
    """Too many at once."""

    code = "too-many"
    status = 429

    def __init__(self, detail: str = "", *, wait_s: float = 5, **more: Any) -> None:
        super().__init__(detail, **more)
        self.wait = wait_s


class NoRoom(ShopError):
    """The disk of the shop is nearly full."""

    code = "no-room"
    status = 507


class FileDamaged(NotFound):
    """A kept file is missing or was altered."""

    code = "file-damaged"


class LogBroken(ShopError):
    """The log does not verify."""

    code = "log-broken"
    status = 500


def reason_of(failed: Exception) -> str:
    """Return why something failed, to be stored.

    The words of a database error may repeat private input, so only its type is kept.
    """
    name = type(failed).__name__
    return name if isinstance(failed, DatabaseError) else str(failed) or name


class NotSent(Exception):
    """Nothing was sent. ``away``: the channel itself does not answer, so no other message is tried now."""

    def __init__(self, reason: str, *, away: bool = False) -> None:
        super().__init__(reason)
        self.away = away
