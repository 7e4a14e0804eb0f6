"""What follows a command that was carried out: a word to the person, and another page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from jobs.log import Done


def done_to(request: HttpRequest, done: Done, says: str, where: str, *args: object) -> HttpResponse:
    """Say what was done, with what the person should know, and go there."""
    messages.success(request, says)
    for notice in done.notices:
        messages.warning(request, notice)
    return redirect(where, *args)
