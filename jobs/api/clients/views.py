"""Clients."""

from typing import Any

from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.clients.serializers import (
    ClientChangeIn,
    ClientDone,
    ClientIn,
    ClientOut,
    ClientPage,
    ForgetIn,
    ForgetOut,
)
from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import view_route
from jobs.api.kit.serializer_bases import PageIn
from jobs.api.kit.view_bases import FileView, View
from jobs.domain import lookups
from jobs.domain.clients.commands import add_client, change_client
from jobs.domain.clients.erasure import preview
from jobs.domain.clients.erasure_commands import forget_client
from jobs.domain.overviews.client_data import client_file
from jobs.domain.overviews.commission import client_views
from jobs.models import Client


def _show(view: View, key: int) -> Any:
    return present(client_views([lookups.client(key)]))[0]


CLIENT = Resource(
    name="client", done=ClientDone, show=_show, address="client",
    key_of=lambda done: int(done.events[0].stream.removeprefix("client:")),
)  # fmt: skip


class ClientsView(View):
    """Everybody who orders."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[PageIn], responses=ClientPage)
    def get(self, request: Request) -> Response:
        """Clients, newest first."""
        self.query(PageIn)
        return Response(page_of(Client.objects.all(), request, lambda rows: present(client_views(rows))))

    post = CLIENT.makes(add_client, ClientIn, "Add a client.")


class ClientView(View):
    """One client."""

    permission_classes = (Worker,)

    @extend_schema(responses=ClientOut)
    def get(self, request: Request, client: int) -> Response:
        """One client."""
        return Response(_show(self, client))

    patch = CLIENT.changes(change_client, ClientChangeIn, "Change what is known of a client.")


class EverythingView(FileView):
    """All that is kept of a client."""

    permission_classes = (Owner,)

    @extend_schema(responses={(200, "application/zip"): OpenApiTypes.BINARY})
    def get(self, request: Request, client: int) -> FileResponse:
        """Everything about a client as an archive: data as JSON, papers as PDF, pictures."""
        found = lookups.client(client)
        out = client_file(found, now=timezone.now())
        return FileResponse(
            out, as_attachment=True, filename=f"client-{client}.zip", content_type="application/zip"
        )


class ForgetView(View):
    """Forgetting a client."""

    permission_classes = (Owner,)

    @extend_schema(responses=ForgetOut)
    def get(self, request: Request, client: int) -> Response:
        """A preview: texts that would go, texts that would stay, and hindrances."""
        return Response(present(preview(lookups.client(client), today=timezone.localdate())))

    post = CLIENT.changes(
        forget_client, ForgetIn, "Forget a client for good; what the law holds stays to its last day."
    )


ROUTES = [
    view_route("clients/", "clients", ClientsView),
    view_route("clients/<key:client>/", "client", ClientView),
    view_route("clients/<key:client>/everything/", "client-everything", EverythingView),
    view_route("clients/<key:client>/forget/", "forget-client", ForgetView),
]
