"""The response after a command: a message and a redirect."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils.cache import get_conditional_response

from jobs.log.commands import CommandResult
from jobs.web.kit import queued_forms


def unless_it_has_it(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """Return an answer with its mark (ETag), or "not modified" to a browser that has it."""
    found = get_conditional_response(request, etag=answer["ETag"], response=answer)
    assert found is not None, "there is an answer"
    return found


def pdf_answer(content: bytes, name: str) -> HttpResponse:
    """Return a PDF that the browser shows, with its name where it is saved."""
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def kept_file(
    request: HttpRequest, content: bytes, content_type: str, *, version: str, **headers: str
) -> HttpResponse:
    """Return a file that the browser may keep for its person, and asks about by its version."""
    told = {"ETag": f'"{version}"', "Cache-Control": "private, no-cache", **headers}
    return unless_it_has_it(request, HttpResponse(content, content_type=content_type, headers=told))


def redirect_with_message(
    request: HttpRequest, done: CommandResult, says: str, where: str, *args: object, is_said: bool = False
) -> HttpResponse:
    """Show what was done with its notices, and redirect; ``is_said`` where an offer to undo says it."""
    if queued_forms.shows_result(request):
        if not is_said:
            messages.success(request, says)
        for notice in done.notices:
            messages.warning(request, notice)
    if queued_forms.is_queued(request):
        return queued_forms.accepted(request, done, says, resolve_url(where, *args))
    return redirect(where, *args)
