"""Search: one field, from every page, for whatever somebody remembers of a thing."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from jobs.core.errors import Invalid
from jobs.domain.search.search import LEAST, LONGEST, search
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import sentence

PAGES = {
    "commission": "commission", "client": "client", "paper": "pdf", "offer": "offer", "board": "board",
    "supply": "supply",
}  # fmt: skip
"""The page of each kind of hit; a piece stands on its commission's, a note on that of all."""
TITLES = {
    "commission": gettext_lazy("Commissions"), "client": gettext_lazy("Clients"),
    "piece": gettext_lazy("Pieces"), "paper": gettext_lazy("Papers"), "offer": gettext_lazy("Quotes"),
    "board": gettext_lazy("Boards"), "supply": gettext_lazy("Glue, finish and other supplies"),
    "note": gettext_lazy("Notes"),
}  # fmt: skip
ICONS = {
    "commission": "work", "client": "person", "piece": "boards", "paper": "office", "offer": "pen",
    "board": "rack", "supply": "drop", "note": "pen",
}  # fmt: skip


@worker
@require_safe
def find(request: SignedIn) -> HttpResponse:
    """Show the field and what is found; while nothing was asked, the field alone."""
    asked = request.GET.get("q", "")
    context: dict[str, Any] = {"q": asked, "longest": LONGEST, "asked": len(asked.strip()) >= LEAST}
    if context["asked"]:
        try:
            found = search(asked, with_money=request.user.is_owner, today=timezone.localdate())
            context["groups"] = [_shown(group) for group in found]
        except Invalid as refused:
            context["refused"] = sentence(refused, called=_("What to look for"))
    status = 422 if "refused" in context else 200
    return render(request, "web/search.html", context, status=status)


def _shown(group: Mapping[str, Any]) -> dict[str, Any]:
    kind = group["kind"]
    hits = [{**hit, "url": _url(kind, hit["key"])} for hit in group["hits"]]
    return {**group, "title": TITLES[kind], "icon": ICONS[kind], "hits": hits}


def _url(kind: str, key: str) -> str:
    if kind == "note":
        return f"{reverse('web:notes')}#note-{key}"
    if kind == "piece":
        return f"{reverse('web:commission', args=[key.rpartition('-')[0]])}#{key}"
    return reverse(f"web:{PAGES[kind]}", args=[key])
