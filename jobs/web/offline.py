"""What a phone keeps for work without signal: pages, the service worker, and the rejected submissions."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.db.models import QuerySet
from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language
from django.views.decorators.http import require_safe

from jobs.core.canonical_json import Parsed, text_of_column
from jobs.domain import lookups
from jobs.domain.clients.erasure import last_forgotten
from jobs.domain.overviews.bench import LIVE
from jobs.log.commands import head_seq
from jobs.models import Piece, Stage, Wait
from jobs.web.kit.access import anyone, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.stages.stage_context import at_the_bench

FOLDER = Path(__file__).parents[1] / "static" / "web"
WORKER = "service-worker.js"
NEEDED = (".css", ".js", ".svg", ".woff2", ".webmanifest", "-192.png")
ELSEWHERE = ("django_htmx/htmx-2.min.js",)
AHEAD = 6
"""Stages of a piece kept from the first that is not done: more than a day without signal needs."""
OVER = (Stage.Step.DONE, Stage.Step.SKIPPED, Stage.Step.WAITING)


@anyone
@require_safe
def service_worker(request: SignedIn) -> HttpResponse:
    """Return the service worker; served at the root, since its scope is its own address and below."""
    files = [static(name) for name in _files()]
    shell = {
        "version": version(),
        "static": settings.STATIC_URL,
        "files": [*files, reverse("web:no-signal")],
    }
    script = f"const SHELL = {json.dumps(shell)};\n{(FOLDER / WORKER).read_text('utf-8')}"
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")


def _files() -> list[str]:
    found = sorted(p.relative_to(FOLDER.parent).as_posix() for p in FOLDER.rglob("*"))
    return [*ELSEWHERE, *(n for n in found if n.endswith(NEEDED) and not n.endswith(f"/{WORKER}"))]


@cache
def version() -> str:
    """Return a hash that changes with any file that pages are made of."""
    paths = [finders.find(name) for name in _files()]
    pages = sorted((FOLDER.parents[1] / "templates" / "web").rglob("*.html"))
    digest = hashlib.sha256()
    for path in (*paths, FOLDER / WORKER, *pages):
        digest.update(Path(str(path)).read_bytes())
    return digest.hexdigest()[:16]


@anyone
@require_safe
def no_signal(request: SignedIn) -> HttpResponse:
    """Show the page that a phone uses in place of one it has not kept; the page names nobody."""
    return render(request, "web/no_signal.html", {"user": None})


@worker
@require_safe
def rejected_submissions(request: SignedIn) -> HttpResponse:
    return render(request, "web/needs_your_eye.html")


@worker
@require_safe
def kept(request: SignedIn) -> HttpResponse:
    """Return the pages to keep, each with a mark that differs as soon as the page would.

    Where ``looks`` differs a phone drops all that it kept, as after the erasure of a client.
    """
    person = request.user
    looks = f"{person.unit} {person.temperature_unit} {person.role} {get_language()} {last_forgotten()}"
    pages = [
        {"url": url, "mark": f"{mark} {version()} {looks}"} for url, mark in _pages(is_owner=person.is_owner)
    ]
    return JsonResponse({"looks": looks, "pages": pages})


def _pages(*, is_owner: bool) -> Iterator[tuple[str, int]]:
    yield reverse("web:bench"), head_seq()
    yield reverse("web:needs-your-eye"), 0
    yield reverse("web:commissions"), head_seq()
    yield reverse("web:climate"), head_seq()
    live = Piece.objects.filter(commission__step__in=LIVE).order_by("number")
    pieces = list(live.values_list("id", "number", "version", "commission__number", "commission__version"))
    for number, seen in dict(piece[3:] for piece in pieces).items():
        for section in ("commission", "commission-piece", "commission-history"):
            yield reverse(f"web:{section}", args=[number]), seen
    stages, waits = _open_stages(live), _running(live)
    first = {commission: number for _id, number, _version, commission, _seen in reversed(pieces)}
    for key, number, version, commission, _seen in pieces:
        if number != first[commission]:
            yield reverse("web:commission-piece", args=[commission, number]), version
        yield reverse("web:piece-figures", args=[number]), version
        for n, (stage, spec) in enumerate(stages[key][:AHEAD]):
            if is_owner or not spec["owner_only"]:
                yield reverse("web:stage", args=[number, stage]), version
                if n == 0:
                    yield reverse("web:write-note", args=[number, stage]), version
            if at_the_bench(spec):
                yield reverse("web:glue-up-now", args=[number, stage]), version
        for wait in waits[key]:
            yield reverse("web:end-wait", args=[wait]), version


def _open_stages(pieces: QuerySet[Piece]) -> dict[int, list[tuple[str, dict[str, Any]]]]:
    """Return by piece the stages that are open, with their spec."""
    specs, found = Parsed(), defaultdict(list)
    rows = Stage.objects.filter(piece__in=pieces.order_by()).exclude(step__in=OVER)
    for piece, key, text in rows.order_by("piece_id", "position").values_list(
        "piece_id", "key", text_of_column("spec")
    ):
        if not specs[text]["passive"]:
            found[piece].append((key, specs[text]))
    return found


def _running(pieces: QuerySet[Piece]) -> dict[int, list[int]]:
    """Return by piece the ids of its running waits."""
    found = defaultdict(list)
    rows = Wait.objects.filter(stage__piece__in=pieces.order_by(), step=Wait.Step.RUNNING)
    for piece, wait in rows.values_list("stage__piece_id", "id"):
        found[piece].append(wait)
    return found


@worker
@require_safe
def changed(request: SignedIn, number: str = "") -> HttpResponse:
    """Answer a poll: send ``changed-elsewhere`` where the piece or the log has changed since."""
    now = lookups.piece(number).version if number else head_seq()
    answer = HttpResponse(status=204)
    if request.GET.get("seen") != str(now):
        answer["HX-Trigger"] = "changed-elsewhere"
    return answer
