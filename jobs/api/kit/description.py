"""The description of the API as it is sent: made once in each process, since making it takes seconds."""

import gzip
import hashlib
import threading
from dataclasses import dataclass

from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer2

from jobs.api.kit.errors import BeingPrepared

MOST_WAITING = 4
"""Threads that wait while it is made; the others serve requests."""


@dataclass(frozen=True, kw_only=True)
class Description:
    """The bytes, plain and compressed, and what tells one version from another."""

    plain: bytes
    packed: bytes
    etag: str


_made: list[Description] = []
_making = threading.Lock()
_waiting = threading.BoundedSemaphore(MOST_WAITING)


def description() -> Description:
    """Return the description; the generator is not made for several threads, so one makes it."""
    if _made:
        return _made[0]
    if not _waiting.acquire(blocking=False):
        raise BeingPrepared("the description is being prepared")
    try:
        with _making:
            if not _made:
                _made.append(_make())
    finally:
        _waiting.release()
    return _made[0]


def _make() -> Description:
    plain = OpenApiJsonRenderer2().render(SchemaGenerator().get_schema(request=None, public=True))
    mark = hashlib.sha256(plain).hexdigest()[:32]
    return Description(plain=plain, packed=gzip.compress(plain), etag=f'"{mark}"')
