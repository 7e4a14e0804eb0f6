"""A paper's PDF: from its frozen content, or as a draft of what would be issued today."""

import json
from datetime import datetime
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import dumps
from jobs.core.errors import Invalid, NotFound
from jobs.documents.account import receipt_html, statement_html
from jobs.documents.care_sheet import care_sheet_html
from jobs.documents.checklist import checklist_html
from jobs.documents.invoice import credit_html, invoice_html
from jobs.documents.job_sheet import job_sheet_html
from jobs.documents.kit.cii import data_of
from jobs.documents.kit.press import press
from jobs.documents.quote import change_html, quote_html
from jobs.domain import lookups
from jobs.domain.billing.invoices import invoice_content, usual_due
from jobs.domain.commissions.checklist import checklist_content
from jobs.domain.commissions.paper_content import care_content, job_sheet_content
from jobs.domain.papers.letterhead import heading
from jobs.domain.quoting.offer_content import offer_content
from jobs.domain.settings import settings
from jobs.log.private_texts import FORGOTTEN, read
from jobs.models import Offer, Paper

PAPERS = {
    Paper.Kind.CHECKLIST: checklist_html,
    Paper.Kind.INVOICE: invoice_html,
    Paper.Kind.CREDIT: credit_html,
    Paper.Kind.QUOTE: quote_html,
    Paper.Kind.CHANGE: change_html,
    Paper.Kind.RECEIPT: receipt_html,
    Paper.Kind.STATEMENT: statement_html,
    Paper.Kind.JOB_SHEET: job_sheet_html,
    Paper.Kind.CARE_SHEET: care_sheet_html,
}
OF_WORK = {
    Paper.Kind.CHECKLIST: checklist_content,
    Paper.Kind.JOB_SHEET: job_sheet_content,
    Paper.Kind.CARE_SHEET: care_content,
}
"""The content of a paper that needs nothing but its commission."""
DRAFTED = (*OF_WORK, Paper.Kind.INVOICE)


def render(paper: Paper) -> bytes:
    """Return the PDF of an issued paper; the same bytes each time."""
    text = read(paper.frozen_ref)
    if text == FORGOTTEN:
        raise NotFound("what this paper says was forgotten", field="paper", value=paper.number)
    return _print(paper.kind, json.loads(text), paper.size)


def draft(*, commission: str, kind: str, now: datetime) -> bytes:
    """Return a preview of what would be issued now; it says draft and takes no number."""
    if kind not in DRAFTED:
        raise Invalid("no such paper to draft", field="kind", value=kind[:40], allowed=", ".join(DRAFTED))
    found = lookups.commission(commission)
    content = (
        OF_WORK[Paper.Kind(kind)](found)
        if kind in OF_WORK
        else invoice_content(found, due_on=usual_due(timezone.localtime(now).date()))
    )
    frozen = dumps({**heading(found), **content, "number": "", "kind": kind, "issued_on": None})
    return _print(kind, json.loads(frozen), settings()["paper_size"])


def offer_draft(offer: Offer) -> bytes:
    """Return a preview of a quote or change order as drafted; it says draft and carries no number."""
    kind = Paper.Kind.QUOTE if offer.kind == Offer.Kind.QUOTE else Paper.Kind.CHANGE
    content = {**heading(offer.commission), **offer_content(offer), "valid_until": None}
    frozen = dumps({**content, "number": "", "kind": kind, "issued_on": None})
    return _print(kind, json.loads(frozen), settings()["paper_size"])


def _print(kind: str, frozen: dict[str, Any], size: str) -> bytes:
    return press.to_pdf(PAPERS[Paper.Kind(kind)](frozen), size=size, data=data_of(frozen))
