"""What follows a command that was carried out: a word to the person, and another page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url

from jobs.log.commands import Done
from jobs.web.kit import queued_forms


def done_to(request: HttpRequest, done: Done, says: str, where: str, *args: object) -> HttpResponse:
    """Say what was done, with what the person should know, and go there."""
    if queued_forms.is_watched(request):
        messages.success(request, says)
        for notice in done.notices:
            messages.warning(request, notice)
    if queued_forms.is_tap(request):
        return queued_forms.landed(request, done, says, resolve_url(where, *args))
    return redirect(where, *args)
