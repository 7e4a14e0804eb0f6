"""The data that printing takes and its refusal, without the libraries that print."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from jobs.core.errors import ShopError

PICTURE = "shop-picture:"
"""What a picture's address in a paper begins with; its hash follows."""
Pictures = Mapping[str, bytes]
"""The pictures that a paper may show, by hash: PNG or SVG."""


class CannotRender(ShopError):
    """This machine cannot make PDF files."""

    code = "cannot-render"
    status = 503


@dataclass(frozen=True, kw_only=True)
class Data:
    """The XML of an invoice for its PDF, and its date, so that the bytes stay the same."""

    xml: bytes
    at: datetime
