"""Preferences for reminders, and where pushes go."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import View
from jobs.api.reminders.serializers import PushIn, PushOut, WishIn, WishOut
from jobs.domain.reminders.channels import push
from jobs.domain.reminders.preferences import set_wishes, wishes_of
from jobs.models import Person


class WishesView(View):
    """One's own reminders by kind."""

    permission_classes = (Worker,)

    @extend_schema(responses=WishOut(many=True))
    def get(self, request: Request) -> Response:
        """Every kind of reminder and how it reaches you."""
        return Response(_wishes(request.user))

    @extend_schema(request=WishIn, responses=WishOut(many=True))
    def patch(self, request: Request) -> Response:
        """Change how one kind reaches you; the schedule follows at once."""
        asked = self.body(WishIn)
        set_wishes(request.user, {asked.pop("kind"): asked})
        return Response(_wishes(request.user))


class PushView(View):
    """The addresses that pushes go to."""

    permission_classes = (Worker,)

    @extend_schema(responses=PushOut(many=True))
    def get(self, request: Request) -> Response:
        """One's own addresses for pushes, without the secret in them."""
        return Response([_shown(one) for one in request.user.push_addresses.order_by("id")])

    @extend_schema(request=PushIn, responses={201: PushOut})
    def post(self, request: Request) -> Response:
        """Add an address; it is not shown again."""
        added = push.add_address(request.user, **self.body(PushIn))
        return Response(_shown(added), status=201, headers={"Location": f"{request.path}{added.id}/"})


class PushAddressView(View):
    """One address for pushes."""

    permission_classes = (Worker,)

    @extend_schema(responses={200: PushOut(many=True)})
    def delete(self, request: Request, address: int) -> Response:
        """Take an address away; the ones that are left come back."""
        push.remove_address(request.user, address=address)
        return Response([_shown(one) for one in request.user.push_addresses.order_by("id")])


class PushTestView(View):
    """A push that is a test."""

    permission_classes = (Worker,)
    without_body = ("POST", "DELETE")

    @extend_schema(request=None, responses=PushOut(many=True))
    def post(self, request: Request) -> Response:
        """Push to all of one's own addresses now; refused with the reason where one did not take it."""
        push.try_out(request.user)
        return Response([_shown(one) for one in request.user.push_addresses.order_by("id")])


def _wishes(person: Person) -> Any:
    return [WishOut({"kind": kind, **vars(wish)}).data for kind, wish in wishes_of(person).items()]


def _shown(address: Any) -> Any:
    return PushOut({**vars(address), "scheme": push.scheme_of(address.url)}).data


ROUTES = [
    view_route("me/reminders/", "wishes", WishesView),
    view_route("me/push/", "push", PushView),
    view_route("me/push/test/", "push-test", PushTestView),
    view_route("me/push/<key:address>/", "push-address", PushAddressView),
]
