"""The frame that every paper shares: letterhead, client, commission, and the template."""

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from jobs.core import blobs
from jobs.core.colors import HEX, USUAL
from jobs.core.postal_addresses import address_lines
from jobs.documents.kit.pdf_data import PICTURE
from jobs.documents.kit.tax_words import number_names
from jobs.documents.kit.wording import clean, day

Frozen = Mapping[str, Any]
FONTS = "Drawn, Sans latin, Sans latin-ext, Sans greek, Sans cyrillic, Sans vietnamese, Signs"
"""Drawn is the sans with figures of one height and width."""


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
            "shop": _party(frozen["shop"], is_abroad=is_abroad(frozen)),
            "client": _party(frozen["client"], is_abroad=is_abroad(frozen)),
            "commission": {"number": commission["number"], "title": clean(commission["title"])},
            "promise_on": day(commission["promise_on"]),
            **look_of(frozen.get("look") or {}),
            "facts": [],
            "tax": number_names(frozen),
            **content,
        },
    )


def look_of(look: Mapping[str, str]) -> dict[str, str]:
    """Return the color and the logo of a paper as its frame takes them."""
    color, logo = look.get("color", ""), look.get("logo", "")
    return {
        "color": color if HEX.fullmatch(color) else USUAL,
        "logo": f"{PICTURE}{logo}" if logo else "",
    }


def logo_in(frozen: Frozen) -> dict[str, bytes]:
    """Return the files that a paper shows, by their hash, as the printer takes them.

    Raises
    ------
    FileDamaged
        Where the file is missing or altered.
    """
    logo = (frozen.get("look") or {}).get("logo", "")
    return {logo: blobs.load(logo, of="the logo")} if logo else {}


def facts(*rows: tuple[str, str] | tuple[str, str, str]) -> list[dict[str, str]]:
    """Return the facts beside the address: name, text and perhaps a line under it; those without text go."""
    return [
        {"name": name, "text": text, "under": under[0] if under else ""}
        for name, text, *under in rows
        if text
    ]


def commission_line(frozen: Frozen) -> str:
    """Return the number and the title of the commission, in a line."""
    return ", ".join(filter(None, (frozen["commission"]["number"], clean(frozen["commission"]["title"]))))


def drawn(svg: str) -> SafeString:
    """Return a drawing with its text in the fonts of the paper."""
    return mark_safe(svg.replace("system-ui, sans-serif", FONTS))


def is_abroad(frozen: Frozen) -> bool:
    """Return whether the client lives in another country than the shop; only then addresses name it."""
    country = frozen["client"].get("country", "")
    return bool(country and country != frozen["shop"].get("country", ""))


def _party(frozen: Mapping[str, str], *, is_abroad: bool) -> dict[str, str]:
    """Return the texts of a shop or client as printed, with the whole of the address."""
    texts = {name: clean(text) for name, text in frozen.items()}
    lines = address_lines(texts, names_country=is_abroad)
    return {**texts, "address": "\n".join(lines), "where": ", ".join(lines)}
