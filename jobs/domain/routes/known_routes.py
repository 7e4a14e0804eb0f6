"""The known templates: the service's files, the shop's files, and those that the shop has set.

A file or stored template that cannot be used is left out, and `unusable` lists it. Everything else works.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from calcs.kit.errors import CalcError
from jobs.core.errors import NotFound, ShopError
from jobs.domain.routes.file_shape import wrong
from jobs.domain.routes.schema import HERE, LONGEST_FILE, Route, read_text
from jobs.models import RouteTemplate


@dataclass(frozen=True, kw_only=True)
class Unusable:
    """A template that is left out: its name, and why."""

    name: str
    why: str


Read = tuple[Route, str] | Unusable


def all_routes() -> dict[str, Route]:
    """Return every usable template by key.

    A shop's file replaces one of the service, a stored template replaces both.
    """
    found = [read for read in (*_of_files(), *_stored()) if not isinstance(read, Unusable)]
    return {route_.key: route_ for route_, _ in found}


def route_files() -> dict[str, str]:
    """Return the text of every usable template file, by key."""
    return {read[0].key: read[1] for read in _of_files() if not isinstance(read, Unusable)}


def unusable() -> list[Unusable]:
    """Return the files and stored templates that cannot be used."""
    return [read for read in (*_of_files(), *_stored()) if isinstance(read, Unusable)]


def route(key: str) -> Route:
    """Return a template by its key."""
    known = all_routes()
    if key not in known:
        raise NotFound("no such route", field="route", value=key, allowed=", ".join(sorted(known)))
    return known[key]


def read_route(path: Path) -> Route:
    """Return the template in a file; refuse it, naming file, stage and word."""
    return _read_file(path)[0]


def _read_file(path: Path) -> tuple[Route, str]:
    source = f"route file {path.name}"
    try:
        with path.open("rb") as file:
            text = file.read(LONGEST_FILE + 1).decode("utf-8")
    except UnicodeDecodeError as broken:
        raise wrong(source, "file", str(broken), "TOML in UTF-8") from broken
    except OSError as closed:
        why = closed.strerror or "unreadable"
        raise wrong(source, "file", why, "a file the service may read") from closed
    return read_text(text, source), text


def _of_files() -> Iterator[Read]:
    """Yield the templates in files, the service's first, so that one of the shop may replace its key."""
    for folder in (HERE, Path(settings.ROUTES_DIR)):
        for path in sorted(folder.glob("*.toml")):
            if path.name == "cautions.toml":
                continue
            try:
                yield _read_file(path)
            except (ShopError, CalcError) as refused:
                yield Unusable(name=path.name, why=_words(refused))


def _stored() -> Iterator[Read]:
    for row in RouteTemplate.objects.order_by("version"):
        name = f"template {row.key}, version {row.version}"
        try:
            yield read_text(row.text, name), row.text
        except (ShopError, CalcError) as refused:
            yield Unusable(name=name, why=_words(refused))


def _words(refused: ShopError | CalcError) -> str:
    """Return where a template is wrong, what stands there and what is allowed."""
    where = str(refused).split(": ", 1)[-1]
    return f"{where} (found: {refused.value}; allowed: {refused.allowed})"
