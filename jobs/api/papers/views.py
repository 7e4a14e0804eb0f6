"""Papers: issue, look, withdraw, and the file."""

import json
from collections.abc import Sequence
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.errors import BeingPrepared
from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import COMMISSION, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.papers.serializers import (
    CreditIn,
    InvoiceIn,
    PaperContentOut,
    PaperDone,
    PaperPage,
    PapersIn,
    RemindIn,
    SendIn,
    WithdrawIn,
)
from jobs.core import blobs
from jobs.core.errors import Forbidden, NotFound
from jobs.documents.kit.einvoice import SYNTAXES, bare
from jobs.documents.kit.pdf_data import CannotRender
from jobs.documents.render import draft, frozen_invoice
from jobs.domain import lookups
from jobs.domain.billing.credits import CreditLine, credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.sending import remind, send_to_client
from jobs.domain.checks import one_of
from jobs.domain.overviews.papers import paper_view, paper_views
from jobs.domain.papers.issuing import RENDER, withdraw_paper
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import read
from jobs.models import OutboxMessage, Paper


def _show(view: View, number: str) -> Any:
    return present(paper_view(lookups.paper(number), with_money=view.with_money, today=timezone.localdate()))


PAPER = Resource(
    name="paper", done=PaperDone, show=_show, address="paper",
    key_of=lambda done: next(event.data["paper"] for event in done.events if "paper" in event.data),
)  # fmt: skip


class PapersView(View):
    """Every paper that was issued."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[PapersIn], responses=PaperPage)
    def get(self, request: Request) -> Response:
        """Papers, newest first; invoices are the owner's."""
        asked = self.query(PapersIn)
        found = Paper.objects.select_related("commission", "invoice")
        if not self.with_money:
            found = found.exclude(kind__in=Paper.MONEY)
        if "kind" in asked:
            found = found.filter(kind=asked["kind"])
        if "commission" in asked:
            found = found.filter(commission__number=asked["commission"])
        today = timezone.localdate()

        def shown(rows: Any) -> Any:
            return present(paper_views(list(rows), with_money=self.with_money, today=today))

        return Response(page_of(found, request, shown))


class PaperView(View):
    """One paper."""

    permission_classes = (Worker,)

    @extend_schema(responses=PaperContentOut)
    def get(self, request: Request, paper: str) -> Response:
        """One paper with what it says, frozen when it was issued."""
        found = find(self, paper)
        content = {} if found.is_forgotten else json.loads(read(found.frozen_ref))
        view = paper_view(found, with_money=self.with_money, today=timezone.localdate())
        return Response(present({**view, "content": content}))


class DraftView(FileView):
    """A draft of the paper that would be issued now."""

    permission_classes = (Worker,)

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request: Request, commission: str, kind: str) -> HttpResponse:
        """A PDF that says draft, carries no number and takes none."""
        if kind == Paper.INVOICE and not self.with_money:
            raise Forbidden("invoices are the owner's", field="kind", value=kind)
        content = draft(commission=commission, kind=kind, now=timezone.now())
        return HttpResponse(content, content_type="application/pdf")


class PdfView(FileView):
    """The file of a paper: the same bytes for ever."""

    permission_classes = (Worker,)

    @extend_schema(
        responses={
            (200, "application/pdf"): OpenApiTypes.BINARY,
            304: OpenApiResponse(description="The file you have is the file."),
        }
    )
    def get(self, request: Request, paper: str) -> HttpResponse:
        """The PDF; 503 with Retry-After while it is being prepared."""
        found = find(self, paper)
        if not found.file_sha256:
            raise no_file(found)
        content = blobs.load(found.file_sha256, of=found.number)
        shown_as = {"Content-Disposition": f'inline; filename="{found.number}.pdf"'}
        return self.kept_file(content, "application/pdf", version=found.file_sha256, **shown_as)


class DataView(FileView):
    """An invoice as data for bookkeeping programs."""

    permission_classes = (Owner,)

    @extend_schema(responses={(200, "application/xml"): OpenApiTypes.BINARY})
    def get(self, request: Request, paper: str, syntax: str) -> HttpResponse:
        """The invoice or credit note by EN 16931, as UBL 2.1 or CII; XRechnung where all it asks is set."""
        one_of(syntax, SYNTAXES, "no such syntax", field="syntax")
        frozen = frozen_invoice(find(self, paper))
        headers = {"Content-Disposition": f'attachment; filename="{paper}-{syntax}.xml"'}
        return HttpResponse(bare(frozen, syntax), content_type="application/xml", headers=headers)


def no_file(paper: Paper) -> Exception:
    """Return why there is no file: the worker has not rendered it yet, or could not."""
    if paper.is_forgotten:
        return NotFound("what this paper said is forgotten", field="paper", value=paper.number)
    effect = OutboxMessage.objects.filter(kind=RENDER, subject=paper.number).first()
    if effect is not None and effect.error:
        return CannotRender(
            f"{paper.number} cannot be prepared: {effect.error}", field="paper", value=paper.number
        )
    return BeingPrepared(f"{paper.number} is being prepared")


def find(view: View, number: str) -> Paper:
    """Return a paper; refuse one that is not for this person."""
    found = lookups.paper(number)
    if found.is_money and not view.with_money:
        raise Forbidden("invoices are the owner's", field="paper", value=number)
    return found


INVOICE = PAPER.makes(
    issue_invoice, InvoiceIn, "Issue the invoice of the agreed price, less what was received."
)
WITHDRAW = PAPER.changes(
    withdraw_paper, WithdrawIn, "Withdraw a delivery checklist; its number and its file stay."
)


def _credit(call: CommandContext, *, lines: Sequence[dict[str, Any]] = (), **asked: Any) -> CommandResult:
    return credit_invoice(call, lines=[CreditLine(**line) for line in lines], **asked)


CREDIT = PAPER.makes(
    _credit, CreditIn,
    "Credit an invoice, some of its lines, or a sum; the answer is the credit note. In part, it holds on.",
)  # fmt: skip
SEND = PAPER.changes(send_to_client, SendIn, "Mail a paper to the client, or record that it was handed over.")
REMIND = PAPER.changes(remind, RemindIn, "Remind the client of an open invoice by mail, with the invoice.")
ROUTES = [
    view_route("papers/", "papers", PapersView),
    view_route("papers/<str:paper>/", "paper", PaperView),
    view_route("papers/<str:paper>/pdf/", "pdf", PdfView),
    view_route("papers/<str:paper>/data/<str:syntax>/", "invoice-data", DataView),
    route("papers/<str:paper>/withdraw/", "withdraw", Worker, post=WITHDRAW),
    route("papers/<str:paper>/credit/", "credit", Owner, post=CREDIT),
    route("papers/<str:paper>/send/", "send-paper", Worker, post=SEND),
    route("papers/<str:paper>/remind/", "remind", Owner, post=REMIND),
    view_route(f"{COMMISSION}draft/<str:kind>/", "draft", DraftView),
    route(f"{COMMISSION}invoice/", "invoice", Owner, post=INVOICE),
]
