"""A cache per command or request: a value is read once and kept until an event changes it.

``remembering`` opens a memory for a request or a task. ``command`` opens a fresh one under the lock of the
log. Outside both, every call reads the database. Cached values are shared, so callers must not change them.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from django.http import HttpRequest
from django.http.response import HttpResponseBase

P = ParamSpec("P")
T = TypeVar("T")
Memory = dict[tuple[Any, ...], Any]

_memory: ContextVar[Memory | None] = ContextVar("memory", default=None)
_is_command: ContextVar[bool] = ContextVar("is_command", default=False)
_until: dict[str, set[str]] = defaultdict(set)
"""Kind of event -> the names of the values it changes."""
ANY = "any"
"""In place of a kind: every event changes this value."""


@contextmanager
def remembering() -> Iterator[None]:
    """Keep values read inside the block; within another such block, use that memory."""
    if _memory.get() is not None:
        yield
        return
    token = _memory.set({})
    try:
        yield
    finally:
        _memory.reset(token)


@contextmanager
def own_memory() -> Iterator[None]:
    """Keep values read inside the block apart from those outside: it may change what it reads."""
    token = _memory.set({})
    try:
        yield
    finally:
        _memory.reset(token)


@contextmanager
def fresh_memory() -> Iterator[None]:
    """Start with an empty memory; its values replace the outer ones, unless the block is rolled back."""
    if is_command():  # a command within another is part of it
        yield
        return
    before, inside = _memory.get(), Memory()
    token, opened = _memory.set(inside), _is_command.set(True)
    try:
        yield
    except BaseException:
        inside = {}
        raise
    finally:
        _memory.reset(token)
        _is_command.reset(opened)
        if before is not None:
            before.clear()
            before.update(inside)


def read_once(*until: str) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep a function's result for its arguments until an event of one of these kinds."""

    def decorate(read: Callable[P, T]) -> Callable[P, T]:
        name = f"{read.__module__}.{read.__qualname__}"
        changed_by(name, *until)

        @wraps(read)
        def run(*args: P.args, **kwargs: P.kwargs) -> T:
            memory = _memory.get()
            if memory is None:
                return read(*args, **kwargs)
            key = (name, args, tuple(kwargs.items()))
            if key not in memory:
                memory[key] = read(*args, **kwargs)
            return memory[key]  # type: ignore[no-any-return]

        return run

    return decorate


def changed_by(name: str, *kinds: str) -> None:
    """Register the kinds of events after which values under this name are dropped."""
    for kind in kinds:
        _until[kind].add(name)


def is_command() -> bool:
    """Return whether a command is open."""
    return _is_command.get()


def forget_after(kind: str) -> None:
    """Drop the values that an event of this kind changes."""
    memory, changed = _memory.get(), _until[kind] | _until[ANY]
    if memory and changed:
        for key in [key for key in memory if key[0] in changed]:
            del memory[key]


def forget_all() -> None:
    """Drop every value: a table outside the log changed, or others may have written."""
    memory = _memory.get()
    if memory is not None:
        memory.clear()


def hold(key: tuple[Any, ...], value: Any) -> None:
    """Keep a value in the memory, where one is open."""
    memory = _memory.get()
    if memory is not None:
        memory[key] = value


def recall(key: tuple[Any, ...]) -> Any:
    """Return the value under this key; None where there is none."""
    return (_memory.get() or {}).get(key)


def recall_all(name: str) -> Iterator[Any]:
    """Return every value whose key begins with this name."""
    return iter([value for key, value in (_memory.get() or {}).items() if key[0] == name])


def drop(key: tuple[Any, ...]) -> None:
    """Drop the value under this key."""
    (_memory.get() or {}).pop(key, None)


def remember_per_request(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Return middleware that opens one memory for each request."""

    def respond(request: HttpRequest) -> HttpResponseBase:
        with remembering():
            return get_response(request)

    return respond
