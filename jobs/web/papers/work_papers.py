"""Papers of the work: issue one; the shopping list, labels; and where a label's code leads."""

from functools import partial
from typing import Any

from django.conf import settings as site
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.errors import NotFound
from jobs.documents.prints import board_labels_pdf, piece_labels_pdf, read_start, shopping_pdf
from jobs.domain import lookups
from jobs.domain.commissions.paper_content import piece_label
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.piece import piece_view
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.papers.kinds import papers_of_work, work_paper
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.stock.queries import board_views, boards_of
from jobs.domain.waits.queries import read_routes
from jobs.web.kit.access import shows_pdf, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import pdf_answer
from jobs.web.kit.stored_translations import translate_stored

MOST_LABELS = 200


@worker
@require_http_methods(["GET", "POST"])
def issue(request: SignedIn, number: str, kind: str) -> HttpResponse:
    """Issue a paper of the work; each kind opens this page at another address."""
    paper, found = work_paper(kind), lookups.commission(number)
    title, says = translate_stored(paper.title), _("%(label)s %(paper)s is issued.")
    return command_page(
        request, PageForm(request.POST or None, seen=found.version),
        partial(issue_work_paper, kind=kind, commission=number),
        lambda first: (says % {"label": title, "paper": first.data["paper"]}, "web:commission", number),
        "web/papers/work_paper.html",
        lambda: {
            "commission": commission_view(found, now=timezone.now(), with_money=False),
            "kind": kind,
            "title": title,
            "issue_it": translate_stored(paper.issue_it),
            "about": translate_stored(paper.about),
            "shows_sizes": paper.shows_sizes,
        },
    )  # fmt: skip


@worker
@require_safe
def next_of_piece(request: SignedIn, number: str) -> HttpResponse:
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
def shopping(request: SignedIn) -> HttpResponse:
    """Show what is still to buy, against rack and shelf."""
    found = shopping_list(today=timezone.localdate(), with_money=request.user.is_owner)
    return render(request, "web/papers/shopping.html", {"list": found})


@worker
@require_safe
@shows_pdf
def shopping_print(request: SignedIn) -> HttpResponse:
    today = timezone.localdate()
    found = shopping_list(today=today, with_money=request.user.is_owner)
    made = shopping_pdf(found, shop=shop_texts(), today=today)
    return pdf_answer(made, "shopping-list")


@worker
@require_safe
@shows_pdf
def board_labels(request: SignedIn) -> HttpResponse:
    """Return labels for one board, or for the boards of a standing or a piece."""
    asked = {name: request.GET.get(name, "") for name in ("step", "piece")}
    boards = boards_of(**asked)
    if board := request.GET.get("board", ""):
        boards = boards.filter(number=int(board) if board.isdecimal() and len(board) < 9 else 0)
    views = board_views(boards[:MOST_LABELS], with_money=False)
    if not views:
        raise NotFound(_("there is no such board to label"), field="board", value=board or asked["piece"])
    start = read_start(request.GET.get("start", ""))
    made = board_labels_pdf(views, address=site.PUBLIC_URL, today=timezone.localdate(), start=start)
    return pdf_answer(made, "board-labels")


@worker
@require_safe
@shows_pdf
def label_of_piece(request: SignedIn, number: str) -> HttpResponse:
    """Return one label for each copy of a piece."""
    piece, start = lookups.piece(number), read_start(request.GET.get("start", ""))
    labels = [piece_label(piece)] * piece.quantity
    return pdf_answer(piece_labels_pdf(labels, today=timezone.localdate(), start=start), f"label-{number}")


def issuable_papers(view: dict[str, Any]) -> list[dict[str, str]]:
    """Return the papers of the work that a commission is ready for and does not have yet."""
    holding = {p["kind"] for p in view["papers"] if p["standing"] != "withdrawn"}
    return [
        {"kind": paper.key, "issue_it": translate_stored(paper.issue_it)}
        for paper in papers_of_work()
        if view["step"] in paper.steps and paper.key not in holding
        if view["pieces"] or not paper.without_piece
    ]
