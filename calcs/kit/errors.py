"""Errors of calculations that have no answer to give."""

from __future__ import annotations


class CalcError(ValueError):
    """A value that a calculation cannot take.

    Parameters
    ----------
    detail : str
        One sentence for a person: the field, its value, what is allowed.
    field : str
        Name of the input at fault.
    value : object
        Value that was given.
    allowed : str
        Values that would be taken: a range, a list of names, a form.
    """

    code = "cannot-compute"

    def __init__(self, detail: str, *, field: str = "", value: object = None, allowed: str = "") -> None:
        super().__init__(detail)
        self.detail = detail
        self.field = field
        self.value = value
        self.allowed = allowed


class OutOfRange(CalcError):
    """A value that is understood, and lies outside the range the calculation holds for."""

    code = "out-of-range"


class Unreadable(CalcError):
    """A text that cannot be understood."""

    code = "unreadable"


class Unknown(CalcError):
    """A species, class or choice that does not exist."""

    code = "unknown"
