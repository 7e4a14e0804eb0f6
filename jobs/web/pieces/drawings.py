"""The page with the drawings of a piece, and each of them as a file."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from calcs.drawing.sheets import TITLES, VIEWS
from jobs.core.errors import NotFound
from jobs.documents.drawings import drawings_pdf
from jobs.domain import lookups
from jobs.domain.pieces.drawing import views_of
from jobs.log.private_texts import read
from jobs.web.kit.access import shows_pdf, worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.responses import pdf_answer
from jobs.web.kit.stored_translations import translate_stored
from jobs.web.pieces.figures import drawn_on_page


@worker
@require_safe
def drawings(request: SignedIn, number: str, view: str = "") -> HttpResponse:
    """Show one drawing of a piece, the first where none is named, with links to the others and to files."""
    piece = lookups.piece(number)
    if view and view not in VIEWS:
        raise NotFound(_("there is no such drawing"), field="view", value=view[:40])
    views = views_of(piece.computed, piece.inputs)
    if view and view not in views:
        raise NotFound(_("this piece has no such drawing"), field="view", value=view)
    shown = {"computed": piece.computed, "inputs": piece.inputs, "number": number}
    drawn = drawn_on_page(shown, units_of(request.user), {view} if view else views[:1])
    context = {
        "number": number,
        "label": read(piece.label_ref),
        "commission": piece.commission.number,
        "revision": piece.revision,
        "drawings": [{"view": each, "title": translate_stored(TITLES[each])} for each in views],
        "one": next(iter(drawn), None),
    }
    return render(request, "web/pieces/drawings.html", context)


@worker
@require_safe
@shows_pdf
def as_pdf(request: SignedIn, number: str) -> HttpResponse:
    """Return every drawing of a piece on sheets with a title block."""
    made = drawings_pdf([lookups.piece(number)], today=timezone.localdate())
    if made is None:
        raise NotFound(_("this piece has no size to draw"), field="piece", value=number)
    return pdf_answer(made, f"drawings-{number}")
