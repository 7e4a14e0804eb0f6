"""A paper's PDF: from its frozen content, or as a draft of what would be issued today."""

import json
from datetime import datetime
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import dumps
from jobs.core.errors import NotFound
from jobs.documents.kit.einvoice import SYNTAXES, bare, data_of, has_data
from jobs.documents.kit.layout import logo_in
from jobs.documents.kit.press import press
from jobs.domain import lookups
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.papers.kinds import draft_content, paper_kind
from jobs.domain.papers.letterhead import heading
from jobs.domain.quoting.quoted_pieces import paper_content
from jobs.domain.settings import settings
from jobs.log.private_texts import FORGOTTEN, read
from jobs.models import Commission, Offer, Paper


def render(paper: Paper) -> bytes:
    """Return the PDF of an issued paper; the same bytes each time."""
    text = read(paper.frozen_ref)
    if text == FORGOTTEN:
        raise NotFound("what this paper says was forgotten", field="paper", value=paper.number)
    return _print(paper.kind, json.loads(text), paper.size)


def frozen_invoice(paper: Paper) -> dict[str, Any]:
    """Return what an invoice or a credit note says; refuse any other paper and one that is forgotten."""
    text = read(paper.frozen_ref)
    if text == FORGOTTEN or paper.is_forgotten:
        raise NotFound("what this paper said is forgotten", field="paper", value=paper.number)
    frozen: dict[str, Any] = json.loads(text)
    if not has_data(frozen):
        raise NotFound("only invoices and credit notes are data too", field="paper", value=paper.number)
    return frozen


def data_to_send(paper: Paper) -> bytes | None:
    """Return the bare file that goes with the mail of an invoice; None where the shop sends none."""
    syntax = settings()["invoice_file"]
    if syntax not in SYNTAXES or paper.kind not in Paper.SUMMED or paper.is_forgotten:
        return None
    frozen = frozen_invoice(paper)
    return None if gaps(frozen) else bare(frozen, syntax)


def draft(*, commission: str, kind: str, now: datetime) -> bytes:
    """Return a preview of what would be issued now; it says draft and takes no number."""
    found = lookups.commission(commission)
    return _draft(kind, found, draft_content(kind, found, timezone.localtime(now).date()))


def offer_draft(offer: Offer) -> bytes:
    """Return a preview of a quote or change order as drafted; it says draft and carries no number."""
    return _draft(offer.kind, offer.commission, {**paper_content(offer), "valid_until": None})


def _draft(kind: str, commission: Commission, content: dict[str, Any]) -> bytes:
    unissued = {"number": "", "kind": kind, "issued_on": None}
    frozen = dumps({**heading(commission), **content, **unissued})
    return _print(kind, json.loads(frozen), settings()["paper_size"])


def _print(kind: str, frozen: dict[str, Any], size: str) -> bytes:
    html = paper_kind(kind).layout(frozen)
    return press.to_pdf(html, size=size, data=data_of(frozen), pictures=logo_in(frozen))
