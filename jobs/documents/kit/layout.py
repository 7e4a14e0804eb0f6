"""The frame that every paper shares: letterhead, client, commission, and the template."""

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from jobs.core.postal_addresses import address_lines
from jobs.documents.kit.wording import clean, day

Frozen = Mapping[str, Any]
FONTS = "Sans latin, Sans latin-ext, Signs"


def html_of(template: str, title: str, frozen: Frozen, content: Mapping[str, Any]) -> str:
    """Return the paper as HTML; the template escapes every text in it."""
    commission = frozen["commission"]
    return render_to_string(
        f"papers/{template}.html",
        {
            "title": title,
            "draft": not frozen["number"],
            "paper_number": frozen["number"],
            "issued_iso": frozen["issued_on"] or "",
            "issued_on": day(frozen["issued_on"]),
            "shop": _party(frozen["shop"]),
            "client": _party(frozen["client"]),
            "commission": {"number": commission["number"], "title": clean(commission["title"])},
            "promise_on": day(commission["promise_on"]),
            **content,
        },
    )


def drawn(svg: str) -> SafeString:
    """Return a drawing with its text in the fonts of the paper."""
    return mark_safe(svg.replace("system-ui, sans-serif", FONTS))


def _party(frozen: Mapping[str, str]) -> dict[str, str]:
    """Return the texts of a shop or client as printed, with the whole of the address."""
    texts = {name: clean(text) for name, text in frozen.items()}
    return {**texts, "address": "\n".join(address_lines(texts))}
