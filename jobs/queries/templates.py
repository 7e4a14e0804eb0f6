"""Route templates with their text, as the owner changes them."""

from itertools import groupby
from typing import Any

from jobs.errors import NotFound
from jobs.models import RouteTemplate
from jobs.routes import read_text, route_files


def template_views() -> list[dict[str, Any]]:
    """Every template in its newest version, by key; version 0 is a file the shop has not set anew."""
    files = route_files()
    rows = RouteTemplate.objects.order_by("key", "version")
    versions = {key: list(found) for key, found in groupby(rows, key=lambda row: row.key)}
    return [_view(key, files, versions.get(key, [])) for key in sorted(files.keys() | versions.keys())]


def template_view(key: str) -> dict[str, Any]:
    """One template in its newest version."""
    known = {view["key"]: view for view in template_views()}
    if key not in known:
        raise NotFound("no such route", field="template", value=key[:60], allowed=", ".join(known))
    return known[key]


def _view(key: str, files: dict[str, str], versions: list[RouteTemplate]) -> dict[str, Any]:
    text = versions[-1].text if versions else files[key]
    return {
        "key": key,
        "title": read_text(text, f"template {key}").title,
        "version": versions[-1].version if versions else 0,
        "text": text,
        "versions": [{"version": v.version, "set_at": v.set_at} for v in versions],
    }
