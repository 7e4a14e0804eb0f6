"""Answers of commands, and the handlers that carry them out."""

from collections.abc import Callable
from dataclasses import dataclass
from inspect import signature
from typing import Any

from django.urls import reverse
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.serializer_bases import CommandIn
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import View
from jobs.core.errors import NotFound
from jobs.log.commands import CommandResult
from jobs.models.bases import row_key

Act = Callable[..., CommandResult]
Handler = Callable[..., Response]
OF_CALLER = ("units", "person")
"""Arguments that a command takes from who calls; it names them where it wants them."""


def row_made(done: CommandResult) -> int:
    """Return the key of the row that the first event of a command made."""
    return row_key(done.events[0].seq)


@dataclass(frozen=True, kw_only=True)
class Resource:
    """One kind of thing that commands change, and how it is shown in their answers.

    ``name`` is its member in the answer and the argument of an address that names one. ``key_of`` reads its
    key from the events of a command. ``address`` is the route of one; empty where only the list has a route.
    """

    name: str
    done: Any
    show: Callable[[Any, Any], Any]
    key_of: Callable[[CommandResult], Any] = lambda done: None
    address: str = ""

    def changes(self, act: Act, asks: type[Shape], says: str) -> Handler:
        """Return the handler of a command that changes one; ``says`` describes the operation."""
        return self._handler(act, asks, says, makes=False)

    def makes(self, act: Act, asks: type[Shape], says: str) -> Handler:
        """Return the handler of a command that makes one: 201 with its address, 200 for a repeated key."""
        return self._handler(act, asks, says, makes=True)

    def removes(self, act: Act, says: str) -> Handler:
        """Return the handler of a command without a body; the query carries what comes with every change."""

        @extend_schema(parameters=[CommandIn], responses={200: self.done}, description=says)
        def handle(view: View, request: Request, **named: Any) -> Response:
            done = act(view.call(view.query(CommandIn)), **named)
            return self._answer(view, done, self._key(done, named))

        return handle

    def _handler(self, act: Act, asks: type[Shape], says: str, *, makes: bool) -> Handler:
        of_caller = set(OF_CALLER) & set(signature(act).parameters)
        answers = {200: self.done, 201: self.done} if makes else self.done

        @extend_schema(request=asks, responses=answers, description=says)
        def handle(view: View, request: Request, **named: Any) -> Response:
            asked = view.body(asks)
            call = view.call(asked)
            own = {"units": view.units, "person": request.user.id}
            done = act(call, **named, **asked, **{name: own[name] for name in of_caller})
            key = self.key_of(done) if makes else self._key(done, named)
            return self._answer(view, done, key, makes=makes)

        return handle

    def _key(self, done: CommandResult, named: dict[str, Any]) -> Any:
        return named[self.name] if self.name in named else self.key_of(done)

    def _answer(self, view: View, done: CommandResult, key: Any, *, makes: bool = False) -> Response:
        """Return what the command did and the resource as it stands now; null once it is gone."""
        try:
            shown = self.show(view, key)
        except NotFound:
            shown = None
        return Response(
            {
                "events": [event.seq for event in done.events],
                "replayed": done.replayed,
                "notices": [*done.notices, *view.clock_notices],
                self.name: shown,
            },
            status=201 if makes and not done.replayed else 200,
            headers={"Location": self._location(view, key)} if makes else None,
        )

    def _location(self, view: View, key: Any) -> str:
        if not self.address:
            return str(view.request.path)
        return reverse(f"api:{self.address}", args=key if isinstance(key, tuple) else (key,))
