"""Papers of the work: issue one; the shopping list and labels."""

from functools import partial

from django.conf import settings as site
from django.http import HttpResponse
from django.urls import URLPattern
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import COMMISSION, PIECE, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.papers.serializers import IssueIn
from jobs.api.papers.views import PAPER
from jobs.api.papers.work_paper_serializers import BoardLabelsIn, LabelsIn, ShoppingOut
from jobs.core.errors import NotFound
from jobs.documents.prints import board_labels_pdf, piece_labels_pdf, shopping_pdf
from jobs.domain import lookups
from jobs.domain.commissions.paper_content import piece_label
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.papers.kinds import WorkPaper, papers_of_work
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.stock.queries import board_views, boards_of

PDF = {(200, "application/pdf"): OpenApiTypes.BINARY}
MOST_LABELS = 200


class ShoppingView(View):
    """The things still to be bought."""

    permission_classes = (Worker,)

    @extend_schema(responses=ShoppingOut)
    def get(self, request: Request) -> Response:
        """Boards by species and thickness, glue, finish, abrasives, hardware; less what is there."""
        found = shopping_list(today=timezone.localdate(), with_money=request.user.is_owner)
        found["run_out"] = [s["id"] for s in found["run_out"]]
        return Response(present(found))


class ShoppingPdfView(FileView):
    """The shopping list on paper."""

    permission_classes = (Worker,)

    @extend_schema(responses=PDF)
    def get(self, request: Request) -> HttpResponse:
        """The list as of today; a print without a number, and not kept."""
        today = timezone.localdate()
        found = shopping_list(today=today, with_money=request.user.is_owner)
        made = shopping_pdf(found, shop=shop_texts(), today=today)
        return HttpResponse(made, content_type="application/pdf")


class BoardLabelsView(FileView):
    """Labels for boards."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[BoardLabelsIn], responses=PDF)
    def get(self, request: Request) -> HttpResponse:
        """A sheet of labels with number, species, size and a code; 404 without such a board."""
        asked = self.query(BoardLabelsIn)
        boards = boards_of(step=asked.get("step", ""), piece=asked.get("piece", ""))
        if "board" in asked:
            boards = boards.filter(number=asked["board"])
        views = board_views(boards[:MOST_LABELS], with_money=False)
        if not views:
            raise NotFound("there is no such board to label", field="board", value=asked.get("board"))
        made = board_labels_pdf(
            views, address=site.PUBLIC_URL, today=timezone.localdate(), start=asked["start"]
        )
        return HttpResponse(made, content_type="application/pdf")


class PieceLabelView(FileView):
    """Labels for a piece."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[LabelsIn], responses=PDF)
    def get(self, request: Request, piece: str) -> HttpResponse:
        """A label for each of its count; the code leads to what is to be done next."""
        found, start = lookups.piece(piece), self.query(LabelsIn)["start"]
        labels = [piece_label(found)] * found.quantity
        return HttpResponse(
            piece_labels_pdf(labels, today=timezone.localdate(), start=start), content_type="application/pdf"
        )


def _issue_route(paper: WorkPaper) -> URLPattern:
    issue = partial(issue_work_paper, kind=paper.key)
    handler = PAPER.makes(issue, IssueIn, paper.says or f"{paper.issue_it}.")
    return route(f"{COMMISSION}{paper.word}/", f"issue-{paper.word}", Worker, post=handler)


ROUTES = [
    *(_issue_route(paper) for paper in papers_of_work()),
    view_route("shopping/", "shopping", ShoppingView),
    view_route("shopping/pdf/", "shopping-pdf", ShoppingPdfView),
    view_route("boards/labels/", "board-labels", BoardLabelsView),
    view_route(f"{PIECE}label/", "piece-label", PieceLabelView),
]
