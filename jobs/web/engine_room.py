"""The engine room: how worker, sweep, broker and database are doing."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.queries import engine_room as queries
from jobs.web.access import owner


@owner
@require_safe
def engine_room(request: HttpRequest) -> HttpResponse:
    return render(request, "web/engine_room.html", queries.engine_room(timezone.now()))
