import pytest

from calcs.kit.errors import CalcError, OutOfRange, Unknown, Unreadable


@pytest.mark.parametrize(
    "kind, code",
    [
        (CalcError, "cannot-compute"),
        (OutOfRange, "out-of-range"),
        (Unreadable, "unreadable"),
        (Unknown, "unknown"),
    ],
)
def test_an_error_carries_what_a_form_needs_to_show(kind, code):
    error = kind("width 0 is too small", field="width", value=0, allowed="1 to 10")
    assert isinstance(error, ValueError)
    assert (error.code, error.field, error.value, error.allowed) == (code, "width", 0, "1 to 10")
    assert str(error) == error.detail == "width 0 is too small"
