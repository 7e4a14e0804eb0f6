"""The look of papers: the logo set, shown and removed, and a page to try it on. For the owner."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.documents.prints import sample_pdf
from jobs.domain.papers.letterhead import shop_texts
from jobs.domain.settings import profile, settings
from jobs.domain.workshop.logo import ALONE, logo_name, remove_logo, set_logo, the_logo
from jobs.web.kit.access import owner, shows_pdf
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import kept_file, pdf_answer


class LogoForm(PageForm):
    """The file of a logo."""

    logo = forms.FileField(
        label=gettext_lazy("Logo"),
        required=False,
        help_text=gettext_lazy("A PNG, or an SVG whose letters are paths"),
        widget=forms.FileInput({"accept": "image/png,image/svg+xml"}),
    )

    def __init__(self, data: Any = None, sent: Any = None) -> None:
        shop = profile()
        super().__init__(data, seen=shop.version if shop else 0)
        self.files = sent or MultiValueDict()


def shown_look() -> dict[str, Any]:
    """Return the head of a paper as its preview shows it."""
    return {"shop": shop_texts(), "color": settings()["paper_color"], "logo": logo_name()[:12]}


@owner
@require_http_methods(["GET", "POST"])
def logo(request: SignedIn) -> HttpResponse:
    """Set the logo."""
    return command_page(
        request, LogoForm(request.POST or None, request.FILES),
        lambda call, *, logo: set_logo(call, logo=logo.read() if logo else None),
        (_("The logo is kept. Papers issued from now on have it."), "web:shop-section", "look"),
        "web/workshop/logo.html", lambda: {"has_logo": bool(logo_name())},
    )  # fmt: skip


@owner
@require_POST
def remove(request: SignedIn) -> HttpResponse:
    """Take the logo off the papers to come."""
    return carried_out(
        request, PageForm(request.POST), remove_logo,
        (_("The logo is removed. Issued papers keep it."), "web:shop-section", "look"),
        lambda: redirect("web:logo"),
    )  # fmt: skip


@owner
@require_safe
def logo_file(request: SignedIn) -> HttpResponse:
    """Return the logo; opened by itself, it may do nothing."""
    name, content, content_type = the_logo()
    return kept_file(request, content, content_type, version=name, **{"Content-Security-Policy": ALONE})


@owner
@require_safe
@shows_pdf
def sample(request: SignedIn) -> HttpResponse:
    """Return a page to see the look of papers on, printed now."""
    return pdf_answer(sample_pdf(today=timezone.localdate()), "sample")
