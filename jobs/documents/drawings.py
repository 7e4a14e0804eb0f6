"""Drawings of pieces on sheets with a title block, one view a page. Dated, not stored."""

from collections.abc import Collection, Iterable
from datetime import date

from django.template.loader import render_to_string
from django.utils import timezone

from calcs.drawing.lines import SHEETS, Block, Paper, size
from calcs.drawing.sheets import TITLES, VIEWS, sheet, views_of
from jobs.documents.kit.layout import drawn
from jobs.documents.kit.press import press
from jobs.documents.kit.wording import clean
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.pieces.drawing import TOLERANCE, top_drawn
from jobs.domain.routes.approvals import What, asked_of, is_current
from jobs.domain.settings import settings, shop_unit
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Approval, Person, Piece
from jobs.models import Paper as Issued
from jobs.models.people import Role


def drawings_pdf(pieces: Iterable[Piece], *, today: date, views: Collection[str] = VIEWS) -> bytes | None:
    """Return the sheets of pieces, of the views asked for; None where nothing can be drawn."""
    listed = list(pieces)
    sheets = [
        drawn(svg) for piece in listed for svg in piece_sheets(piece, today=today, views=views).values()
    ]
    if not sheets:
        return None
    paper_size = settings()["paper_size"]
    wide, high = SHEETS[paper_size]
    context = {
        "sheets": sheets,
        "wide": wide,
        "high": high,
        "title": f"Drawings of {', '.join(piece.number for piece in listed)}",
        "shop": clean(shop_texts()["name"]),
    }
    return press.to_pdf(render_to_string("papers/drawings.html", context), size=paper_size)


def quote_drawings_pdf(issued: Issued) -> bytes | None:
    """Return the client drawings of a commission's pieces, which go with its quote; None without any."""
    pieces = issued.commission.pieces.order_by("number") if issued.commission else []
    return drawings_pdf(pieces, today=timezone.localtime(issued.issued_at).date(), views=("client",))


def template_dxf(piece: Piece, view: str) -> str | None:
    """Return one view of a piece full size in the shop's unit; None where it does not apply."""
    top = top_drawn(piece.computed, piece.inputs)
    return press.to_dxf(top, view, shop_unit(), title=piece.number) if top else None


def piece_sheets(piece: Piece, *, today: date, views: Collection[str] = VIEWS) -> dict[str, str]:
    """Return the sheets of a piece as SVG on the shop's paper, by view; each says its place among all."""
    wide, high = SHEETS[settings()["paper_size"]]
    paper = Paper(width=wide, height=high, unit=shop_unit())
    top = top_drawn(piece.computed, piece.inputs, unit=paper.unit)
    if top is None:
        return {}
    blocks = _blocks(piece, views_of(top), unit=paper.unit, today=today)
    title = f"{piece.number} {next(iter(blocks.values())).title}"
    drawings = {
        view: sheet(top, view, paper, block=block, title=title)
        for view, block in blocks.items()
        if view in views
    }
    return {view: svg for view, svg in drawings.items() if svg}


def _blocks(piece: Piece, views: list[str], *, unit: str, today: date) -> dict[str, Block]:
    """Return the title block of each sheet of a piece."""
    client = piece.commission.client
    texts, shop = Texts(refs_of([piece, client])), shop_texts()
    approved, creator = _is_approved(piece), _creator()
    is_open = not approved and What.DRAWING in asked_of(piece, piece.stages.all())
    return {
        view: Block(
            legal_owner=", ".join(filter(None, (clean(shop["name"]), clean(shop["city"])))),
            identification_number=f"{piece.number}-{view[0].upper()}",
            date_of_issue=today.isoformat(),
            sheet=f"{n}/{len(views)}",
            title=clean(texts[piece.label_ref]),
            supplementary_title=f"{piece.quantity} of these" if piece.quantity > 1 else "",
            approval_person=clean(texts[client.name_ref]) if approved else "",
            creator=creator,
            document_type=TITLES[view],
            document_status=_status(view, approved=approved, is_open=is_open),
            revision_index=str(piece.revision),
            material=clean(str(piece.inputs.get("species") or "")),
            tolerance=f"±{size(TOLERANCE[unit], unit, 'joint')}",
        )
        for n, view in enumerate(views, start=1)
    }


def _creator() -> str:
    owner = Person.objects.filter(role=Role.OWNER, is_active=True).order_by("id").first()
    return clean(str(owner)) if owner else ""


def _is_approved(piece: Piece) -> bool:
    """Return whether the client approved the drawing as the piece is now."""
    said = Approval.objects.filter(piece=piece.number, what=What.DRAWING).exclude(approved_at=None)
    return any(is_current(one, piece) for one in said)


def _status(view: str, *, approved: bool, is_open: bool) -> str:
    """Return the status of a sheet: the client approves the client drawing, which releases the others."""
    if is_open:
        return "For approval"
    return "Approved" if approved and view == "client" else "Released"
