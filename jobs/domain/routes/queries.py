"""Views of route templates with their text, for the owner who edits them."""

from typing import Any

from calcs.kit.errors import CalcError
from jobs.core.errors import NotFound, ShopError
from jobs.domain.routes import read_text, route_files
from jobs.models import RouteTemplate


def template_views() -> list[dict[str, Any]]:
    """Return every template in its newest version, by key; version 0 is a file, unchanged by the shop."""
    return [_view(key, rows) for key, rows in sorted(_versions().items())]


def template_view(key: str, version: int | None = None) -> dict[str, Any]:
    """Return one template in its newest version, or with the text of an earlier one."""
    known = _versions()
    if key not in known:
        raise NotFound("no such route", field="template", value=key[:60], allowed=", ".join(sorted(known)))
    view = _view(key, known[key])
    if version is None:
        return view
    texts = {v.version: v.text for v in known[key]}
    if version not in texts:
        raise NotFound("no such version", field="version", value=version, allowed=", ".join(map(str, texts)))
    return {**view, "version": version, "text": texts[version]}


def _versions() -> dict[str, list[RouteTemplate]]:
    """Return the versions of every template, oldest first; a file counts as version 0."""
    found = {key: [RouteTemplate(key=key, version=0, text=text)] for key, text in route_files().items()}
    for row in RouteTemplate.objects.order_by("key", "version"):
        found.setdefault(row.key, []).append(row)
    return found


def _view(key: str, versions: list[RouteTemplate]) -> dict[str, Any]:
    newest = versions[-1]
    return {
        "key": key,
        "title": _title(newest),
        "version": newest.version,
        "text": newest.text,
        "versions": [{"version": v.version, "set_at": v.set_at} for v in versions],
    }


def _title(newest: RouteTemplate) -> str:
    """Return the title of a template, or its key where its text is no longer usable."""
    try:
        return read_text(newest.text, f"template {newest.key}").title
    except (ShopError, CalcError):
        return newest.key
