"""Drawings of pieces on sheets with a title block, one view a page. Dated, not stored."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.template.loader import render_to_string
from django.utils import timezone

from calcs.drawing.lines import SHEETS, Block, Paper, size
from calcs.drawing.sheets import TITLES, VIEWS
from jobs.documents.kit.layout import drawn
from jobs.documents.kit.press import press
from jobs.documents.kit.wording import clean
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.pieces.drawing import TOLERANCE, draw_sheet, views_of
from jobs.domain.routes.approvals import What, asked_of, is_current
from jobs.domain.settings import settings, shop_unit
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Approval, Person, Piece
from jobs.models import Paper as Issued
from jobs.models.people import Role


def drawings_pdf(pieces: Sequence[Piece], *, today: date, views: Iterable[str] = VIEWS) -> bytes | None:
    """Return the sheets of pieces, of the views asked for; None where nothing can be drawn."""
    paper_size, unit = settings()["paper_size"], shop_unit()
    wide, high = SHEETS[paper_size]
    paper = Paper(width=wide, height=high, unit=unit)
    texts = Texts(refs_of([*pieces, *{piece.commission.client for piece in pieces}]))
    shop, creator = shop_texts(), _creator()
    sheets = []
    for piece in pieces:
        label, wanted = clean(texts[piece.label_ref]), set(views)
        of_it = [view for view in views_of(piece.computed, piece.inputs) if view in wanted]
        approved, open_one = _approval(piece)
        for n, view in enumerate(of_it, start=1):
            block = Block(
                legal_owner=", ".join(filter(None, (clean(shop["name"]), clean(shop["city"])))),
                identification_number=f"{piece.number}-{view[0].upper()}",
                date_of_issue=today.isoformat(),
                sheet=f"{n}/{len(of_it)}",
                title=label,
                supplementary_title=f"{piece.quantity} of these" if piece.quantity > 1 else "",
                approval_person=clean(texts[piece.commission.client.name_ref]) if approved else "",
                creator=creator,
                document_type=TITLES[view],
                document_status=_status(view, approved=approved, open_one=open_one),
                revision_index=str(piece.revision),
                material=clean(str(piece.inputs.get("species") or "")),
                tolerance=f"±{size(TOLERANCE[unit], unit, 'joint')}",
            )
            svg = draw_sheet(piece.computed, piece.inputs, view, paper=paper, block=block, title=label)
            sheets.append(drawn(svg or ""))
    if not sheets:
        return None
    title = f"Drawings of {', '.join(dict.fromkeys(piece.number for piece in pieces))}"
    context = {"sheets": sheets, "wide": wide, "high": high, "title": title, "shop": clean(shop["name"])}
    return press.to_pdf(render_to_string("papers/drawings.html", context), size=paper_size)


def quote_drawings_pdf(issued: Issued) -> bytes | None:
    """Return the client drawings of a commission's pieces, which go with its quote; None without any."""
    pieces = list(issued.commission.pieces.order_by("number")) if issued.commission else []
    return drawings_pdf(pieces, today=timezone.localtime(issued.issued_at).date(), views=("client",))


def _creator() -> str:
    owner = Person.objects.filter(role=Role.OWNER, is_active=True).order_by("id").first()
    return clean(str(owner)) if owner else ""


def _approval(piece: Piece) -> tuple[bool, bool]:
    """Return whether the client approved the drawing as it is now, and whether that is still asked for."""
    said = Approval.objects.filter(piece=piece.number, what=What.DRAWING).exclude(approved_at=None)
    approved = any(is_current(one, piece) for one in said)
    return approved, not approved and What.DRAWING in asked_of(piece, piece.stages.all())


def _status(view: str, *, approved: bool, open_one: bool) -> str:
    if open_one:
        return "For approval"
    return "Approved" if approved and view == "client" else "Released"
