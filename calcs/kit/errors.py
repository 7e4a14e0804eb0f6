"""What a calculation raises when it has no answer to give."""

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
        What was given.
    allowed : str
        What would have been taken: a range, a list of names, a form.
    """

    code = "cannot-compute"

    def __init__(self, detail: str, *, field: str = "", value: object = None, allowed: str = "") -> None:
        super().__init__(detail)
        self.detail = detail
        self.field = field
        self.value = value
        self.allowed = allowed


class OutOfRange(CalcError):
    """The value is understood, and outside what the calculation holds for."""

    code = "out-of-range"


class Unreadable(CalcError):
    """The text cannot be understood."""

    code = "unreadable"


class Unknown(CalcError):
    """There is no such species, class or choice."""

    code = "unknown"
