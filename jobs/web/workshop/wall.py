"""The wall: what is next and what waits, for a screen in the shop that nobody touches."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.core.rate_limit import address_of, count_key, refuse_if_many
from jobs.domain.overviews.bench import bench
from jobs.domain.workshop.accounts import find_token, note_use
from jobs.models.people import WALLS, Scope
from jobs.web.bench_words import shown_job
from jobs.web.kit.access import anyone
from jobs.web.wait_axis import wait_axis

USE_NOTED_EVERY = timedelta(hours=1)
JOBS_SHOWN, WAITS_SHOWN = 4, 6
"""As many as can be read from four metres."""
MOST_ASKED, WINDOW_S = 120, 600
"""Answers to one address in ten minutes: several screens, each once a minute."""


@anyone
@require_safe
def wall(request: HttpRequest, token: str) -> HttpResponse:
    """Show the wall of a token; an unknown or revoked one gets a page that says so, without a figure."""
    count = count_key("wall", address_of(request))
    refuse_if_many(count, most=MOST_ASKED, window_s=WINDOW_S, words="too many requests for a wall")
    found = find_token(token)
    if found is None or found.scope not in WALLS:
        return _plain(render(request, "web/workshop/wall_shut.html", status=404))
    now = timezone.now()
    note_use(found, now=now, every=USE_NOTED_EVERY)
    view = bench(now=now, person=found.person_id, with_money=False, for_all=True)
    names = found.scope == Scope.WALL_WITH_NAMES
    axis = wait_axis(view["waiting"], now) if view["waiting"] else None
    context = {
        "now": now,
        "person": found.person,
        "air": view["air"][:1],
        "jobs": [_row(job, now, names=names) for job in view["jobs"][:JOBS_SHOWN]],
        "hands_at": view["hands_at"],
        "axis": axis and {**axis, "rows": axis["rows"][:WAITS_SHOWN]},
    }
    return _plain(render(request, "web/workshop/wall.html", context))


def _row(job: Mapping[str, Any], now: Any, *, names: bool) -> dict[str, Any]:
    """Return a job in the few words of the wall; the client only where it is wished."""
    shown = shown_job(job, now)
    about = [f"{shown['number']} {job['label']}".strip(), shown["takes"]]
    return {**shown, "about": [one for one in (*about, job["client"] if names else "") if one]}


def _plain(answer: HttpResponse) -> HttpResponse:
    answer["X-Robots-Tag"] = "noindex"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
