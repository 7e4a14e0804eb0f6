"""Papers for the bench: job and care sheets, the shopping list, labels; and where a label's code leads."""

from functools import partial
from typing import Any

from csp.decorators import csp_exempt
from django.conf import settings as site
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.errors import NotFound
from jobs.documents.prints import board_labels_pdf, piece_labels_pdf, shopping_pdf
from jobs.domain import lookups
from jobs.domain.commissions.paper_content import piece_label
from jobs.domain.commissions.papers import issue_care_sheet, issue_job_sheet
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.piece import piece_view
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.papers.issuing import STEPS
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.stock.queries import board_views, boards_of
from jobs.domain.waits.queries import read_routes
from jobs.models import Paper
from jobs.web.kit.access import worker
from jobs.web.kit.command_pages import Command, command_page
from jobs.web.kit.forms import PageForm
from jobs.web.kit.stored_translations import translate_stored

MOST_LABELS = 200
ISSUE_IT = {
    Paper.Kind.JOB_SHEET: gettext_lazy("Issue the job sheet"),
    Paper.Kind.CARE_SHEET: gettext_lazy("Issue the care sheet"),
}
ABOUT: dict[str, str] = {
    Paper.Kind.JOB_SHEET: gettext_lazy(
        "Issuing gives it a number and fixes for ever what it says: for each piece the drawing, rip"
        " list, slots, clamps, glue and coats with their times, lifts, checklist and cautions. The code on it"
        " leads to what is to be done next. When a piece is changed, withdraw it and issue a new one."
    ),
    Paper.Kind.CARE_SHEET: gettext_lazy(
        "Issuing gives it a number and fixes for ever what it says: the air each piece wants, how"
        " its wood moves over the year, how it is cleaned, and from when it bears full use."
    ),
}


@worker
@require_http_methods(["GET", "POST"])
def job_sheet(request: HttpRequest, number: str) -> HttpResponse:
    return _issue(request, number, Paper.Kind.JOB_SHEET, issue_job_sheet)


@worker
@require_http_methods(["GET", "POST"])
def care_sheet(request: HttpRequest, number: str) -> HttpResponse:
    return _issue(request, number, Paper.Kind.CARE_SHEET, issue_care_sheet)


def _issue(request: HttpRequest, number: str, kind: Paper.Kind, verb: Command) -> HttpResponse:
    found, name = lookups.commission(number), translate_stored(kind.label)
    says = _("%(label)s %(paper)s is issued.")
    return command_page(
        request, PageForm(request.POST or None, seen=found.version), partial(verb, commission=number),
        lambda first: (says % {"label": name, "paper": first.data["paper"]}, "web:commission", number),
        "web/papers/bench_paper.html",
        lambda: {
            "commission": commission_view(found, now=timezone.now(), with_money=False),
            "kind": kind, "name": name, "issue_it": ISSUE_IT[kind], "about": ABOUT[kind],
        },
    )  # fmt: skip


@worker
@require_safe
def next_of_piece(request: HttpRequest, number: str) -> HttpResponse:
    """Redirect the code on a piece to its stage under way, else the first that is ready, else the piece."""
    piece = lookups.piece(number)
    read = read_routes([piece])
    view = piece_view(read.routes[0], read.texts, now=timezone.now(), with_money=request.user.is_owner)
    stages = [s for s in view["stages"] if not s["passive"]]
    for wanted in ("under way", "ready"):
        for stage in stages:
            if stage["standing"] == wanted:
                return redirect("web:stage", piece.number, stage["key"])
    return redirect(f"{reverse('web:commission', args=[piece.commission.number])}#{piece.number}")


@worker
@require_safe
def shopping(request: HttpRequest) -> HttpResponse:
    """Show what is still to buy, against rack and shelf."""
    return render(request, "web/papers/shopping.html", {"list": shopping_list(today=timezone.localdate())})


@worker
@require_safe
@csp_exempt()  # a browser's own PDF viewer counts as an object, which pages do not allow
def shopping_print(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    us_first = request.user.unit == "in"
    made = shopping_pdf(shopping_list(today=today), shop=shop_texts(), us_first=us_first, today=today)
    return _pdf(made, "shopping-list")


@worker
@require_safe
@csp_exempt()
def board_labels(request: HttpRequest) -> HttpResponse:
    """Return labels for one board, or for the boards of a standing or a piece."""
    asked = {name: request.GET.get(name, "") for name in ("step", "piece")}
    boards = boards_of(**asked)
    if board := request.GET.get("board", ""):
        boards = boards.filter(number=int(board) if board.isdecimal() and len(board) < 9 else 0)
    views = board_views(boards[:MOST_LABELS], with_money=False)
    if not views:
        raise NotFound(_("there is no such board to label"), field="board", value=board or asked["piece"])
    made = board_labels_pdf(views, address=site.PUBLIC_URL, today=timezone.localdate())
    return _pdf(made, "board-labels")


@worker
@require_safe
@csp_exempt()
def label_of_piece(request: HttpRequest, number: str) -> HttpResponse:
    """Return one label for each copy of a piece."""
    piece = lookups.piece(number)
    return _pdf(
        piece_labels_pdf([piece_label(piece)] * piece.quantity, today=timezone.localdate()), f"label-{number}"
    )


def _pdf(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def may_issue(view: dict[str, Any]) -> dict[str, bool]:
    """Return which of these papers a commission is ready for and does not have yet."""
    holding = {p["kind"] for p in view["papers"] if p["standing"] != "withdrawn"}
    return {
        name: bool(view["pieces"]) and view["step"] in STEPS[kind] and kind not in holding
        for name, kind in (("job_sheet", Paper.Kind.JOB_SHEET), ("care_sheet", Paper.Kind.CARE_SHEET))
    }
