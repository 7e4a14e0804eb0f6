"""What follows a command that was carried out: a word to the person, and another page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url

from jobs.log.commands import CommandResult
from jobs.web.kit import queued_forms


def redirect_with_message(
    request: HttpRequest, done: CommandResult, says: str, where: str, *args: object
) -> HttpResponse:
    """Say what was done, with what the person should know, and go there."""
    if queued_forms.shows_result(request):
        messages.success(request, says)
        for notice in done.notices:
            messages.warning(request, notice)
    if queued_forms.is_queued(request):
        return queued_forms.accepted(request, done, says, resolve_url(where, *args))
    return redirect(where, *args)
