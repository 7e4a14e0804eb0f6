"""Pages of a form that carries out a command."""

from collections.abc import Callable, Mapping
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from jobs.log.commands import CommandResult
from jobs.models import Event
from jobs.web.kit import queued_forms
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message

Command = Callable[..., CommandResult]
"""Called with the command context, and with what was typed by the names of the fields."""
Undo = Callable[[CommandResult, str], None]
"""Offers to undo what a command did, with the message that says what that was."""
Done = tuple[Any, ...] | Callable[[Event], tuple[Any, ...]]
"""The message, the page that follows and its arguments; or a function that makes them of the first event."""


def command_page(
    request: SignedIn,
    form: PageForm,
    command: Command,
    done: Done,
    template: str,
    context: Callable[[], Mapping[str, Any]] = dict,
    undo: Undo | None = None,
) -> HttpResponse:
    """Show a form in its template; a POST carries out its command. ``undo`` offers the inverse command."""

    def show() -> HttpResponse:
        return render(request, template, {"form": form, **context()}, status=form.status)

    return carried_out(request, form, command, done, show, undo)


def carried_out(
    request: SignedIn,
    form: PageForm,
    command: Command,
    done: Done,
    show: Callable[[], HttpResponse],
    undo: Undo | None = None,
) -> HttpResponse:
    """Carry out the command of a POST and redirect; otherwise, or where it is refused, show the page.

    A refused form that waited on a phone is answered with JSON.
    """
    if request.method != "POST":
        return show()
    result = form.carry_out(lambda asked: command(form.call(request), **asked))
    if result is None:
        return queued_forms.refused_form(form) if queued_forms.is_queued(request) else show()
    says, where, *args = done(result.events[0]) if callable(done) else done
    if undo:
        undo(result, says)
    return redirect_with_message(request, result, says, where, *args, is_said=undo is not None)
