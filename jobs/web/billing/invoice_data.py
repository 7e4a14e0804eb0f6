"""An invoice as data: which rules it follows, what it lacks, and the file in either syntax. For the owner."""

from collections.abc import Iterable

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from jobs.documents.kit.einvoice import SYNTAXES, bare, is_xrechnung
from jobs.documents.render import frozen_invoice
from jobs.domain import lookups
from jobs.domain.billing.invoice_data import GERMANY, Gap, gaps, xrechnung_gaps
from jobs.domain.billing.paying import reference_words
from jobs.models import Commission
from jobs.web.billing.about import about, paper_name
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.shop_sections import setting_page
from jobs.web.kit.stored_translations import capital, translate_stored


def shown_gaps(found: Iterable[Gap], commission: Commission) -> list[dict[str, str]]:
    """Return what is missing, each with the page of its field; empty where only another order helps."""
    return [
        {"says": capital(translate_stored(gap.what)), "page": _page_of(gap, commission)} for gap in found
    ]  # fmt: skip


def _page_of(gap: Gap, commission: Commission) -> str:
    if gap.owner == "shop":
        return setting_page(gap.field)
    if gap.owner == "client":
        return f"{reverse('web:change-client', args=[commission.client_id])}#id_{gap.field}"
    return ""


@owner
@require_safe
def invoice_data(request: SignedIn, paper: str) -> HttpResponse:
    """Show which rules the data of an invoice follow, what it lacks, and offer the files."""
    found = lookups.paper(paper)
    frozen = frozen_invoice(found)
    assert found.commission is not None, "an invoice belongs to a commission"
    lacking, is_german = gaps(frozen), frozen["shop"].get("country") == GERMANY
    context = {
        **about(found.commission), "paper": found, "name": paper_name(found.kind, found.what),
        "lacking": shown_gaps(lacking, found.commission),
        "rules": "XRechnung 3.0" if is_xrechnung(frozen) else "EN 16931",
        "beyond": shown_gaps(xrechnung_gaps(frozen) if is_german else [], found.commission),
        "reference": reference_words(frozen), "syntaxes": SYNTAXES,
    }  # fmt: skip
    return render(request, "web/billing/invoice_data.html", context)


@owner
@require_safe
def invoice_file(request: SignedIn, paper: str, syntax: str) -> HttpResponse:
    """Return an invoice as a bare file of data."""
    if syntax not in SYNTAXES:
        raise Http404
    answer = HttpResponse(bare(frozen_invoice(lookups.paper(paper)), syntax), content_type="application/xml")
    answer["Content-Disposition"] = f'attachment; filename="{paper}-{syntax}.xml"'
    return answer
