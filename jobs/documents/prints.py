"""Prints without a number: the shopping list, labels for boards, labels for pieces. Dated, not stored."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone

from calcs.kit.rounding import places
from calcs.lumber.board_footage import BOARD_FOOT_M3
from jobs.documents.kit.layout import facts, html_of, logo_in, look_of
from jobs.documents.kit.press import press
from jobs.documents.kit.qr import code
from jobs.documents.kit.sizes import Sizes
from jobs.documents.kit.wording import clean, day, money, number
from jobs.documents.lumber_list import lumber_words
from jobs.domain.checks import in_range
from jobs.domain.papers.letterhead import heading, shop_look, shop_texts
from jobs.domain.quoting.accepted import the_acceptance
from jobs.domain.settings import settings

HOW_WORDS = {
    "page": "on the page of the commission, with the name typed there",
    "told": "told to the shop in words",
    "written": "told to the shop in writing",
    "signed": "by a signed copy",
}
PER_SHEET = 14
"""Labels in two columns of seven, counted row by row from the top left."""


def read_start(typed: str) -> int:
    """Return the first free label of a sheet as it was typed; the first one where nothing was.

    Raises
    ------
    Invalid
        Naming the field, the value and the range.
    """
    start = int(typed) if typed.isdecimal() and len(typed) <= 3 else 0
    if not typed:
        return 1
    in_range(start, 1, PER_SHEET, f"{typed[:20]} is no place on a sheet of labels", field="start")
    return start


def shopping_pdf(found: dict[str, Any], *, shop: dict[str, str], today: date) -> bytes:
    """Return the shopping list as of today, in the shop's units."""
    return _print(
        "shopping_list", "Shopping list", lumber_words(found, Sizes.of_shop()), shop=shop, today=today
    )


def board_labels_pdf(boards: list[dict[str, Any]], *, address: str, today: date, start: int = 1) -> bytes:
    """Return a label for each board: number, species, size, and a code with the address of its page.

    ``start`` is the first label of the sheet that is still free.
    """
    sizes = Sizes.of_shop()
    labels = [
        {
            "big": str(board["number"]),
            "title": clean(board["species"]),
            "lines": [_size(board, sizes)],
            "small": " · ".join(filter(None, (_volume(board["board_feet"], sizes), board["piece"]))),
            "code": code(
                f"{address}/stock/boards/{board['number']}/", says=f"Code of board {board['number']}"
            ),
        }
        for board in boards
    ]
    return _labels("Board labels", labels, today=today, start=start)


def piece_labels_pdf(pieces: list[dict[str, Any]], *, today: date, start: int = 1) -> bytes:
    """Return a label for each piece, with a code that leads to the next thing to do on it.

    ``start`` is the first label of the sheet that is still free.
    """
    sizes = Sizes.of_shop()
    labels = [
        {
            "big": piece["number"],
            "title": clean(piece["label"]),
            "lines": [_size(piece, sizes)] if piece["length_len"] else [],
            "small": clean(piece["species"]),
            "code": code(piece["next"], says=f"Code of piece {piece['number']}: what is next"),
        }
        for piece in pieces
    ]
    return _labels("Piece labels", labels, today=today, start=start)


def confirmation_pdf(number: str, *, today: date) -> bytes:
    """Return what was accepted of a quote or change order, from what is kept of the yes."""
    offer, kept = the_acceptance(number)
    commission = offer.commission
    head, currency = heading(commission), offer.currency
    title = f"Confirmation of {offer.get_kind_display().lower()} {kept['paper']}"
    when = timezone.localtime(kept["accepted_at"])
    told = [
        ("Accepted", f"{day(when.date().isoformat())}, {when:%H:%M}"),
        ("By", clean(kept["name"]) or clean(head["client"]["name"])),
        ("How", HOW_WORDS.get(kept["how"], "")),
        *([("Agreed, with tax", money(kept["total"], currency))] if kept["total"] is not None else []),
        *([("Deposit", money(kept["deposit"], currency))] if kept["deposit"] else []),
        *([("Ready by", day(offer.promise_on.isoformat()))] if offer.promise_on else []),
    ]
    context = {
        "facts": [(name, value) for name, value in told if value],
        "client": clean(head["client"]["name"]),
        "commission": {"number": commission.number, "title": clean(head["commission"]["title"])},
        "chosen": [clean(one) for one in kept["chosen"]],
        "drawings": [
            f"{clean(d['label'])}: {d['number']}, revision {d['revision']}" for d in kept["drawings"]
        ],
        "sha256": kept["sha256"],
        "paper": kept["paper"],
    }
    return _print("confirmation", title, context, shop=head["shop"], today=today)


def sample_pdf(*, today: date) -> bytes:
    """Return a page that shows the look of papers; it belongs to no client."""
    head = {
        "shop": shop_texts(),
        "look": shop_look(),
        "client": {"name": "Name of the client", "address": "Street and number\nCity"},
        "commission": {"number": "", "title": "", "promise_on": None},
        "number": "",
        "issued_on": today.isoformat(),
    }
    told = facts(("Printed", day(today.isoformat())), ("Facts", "stand here, the first one strong"))
    html = html_of("sample", "Sample page", head, {"facts": told, "draft": False})
    return press.to_pdf(html, size=settings()["paper_size"], pictures=logo_in(head))


def _size(sides: dict[str, Any], sizes: Sizes) -> str:
    return sizes.finished(*(sides[f"{side}_len"] for side in ("thickness", "width", "length")))


def _volume(board_feet: Decimal, sizes: Sizes) -> str:
    if sizes.unit == "in":
        return f"{number(board_feet)} board ft"
    return f"{places(Decimal(board_feet) * BOARD_FOOT_M3, 3)} m³"


def _labels(title: str, labels: list[dict[str, Any]], *, today: date, start: int) -> bytes:
    used = [*[None] * (start - 1), *labels]
    sheets = [used[n : n + PER_SHEET] for n in range(0, len(used), PER_SHEET)]
    pairs = [[[*sheet[n : n + 2], None][:2] for n in range(0, len(sheet), 2)] for sheet in sheets]
    return _print("labels", title, {"sheets": pairs}, shop={"name": ""}, today=today)


def _print(template: str, title: str, context: dict[str, Any], *, shop: dict[str, str], today: date) -> bytes:
    look = {"look": shop_look()}
    html = render_to_string(
        f"papers/{template}.html",
        {
            **look_of(look["look"]),
            "title": title,
            "print_of": day(today.isoformat()),
            "shop": {name: clean(text) for name, text in shop.items()},
            **context,
        },
    )
    return press.to_pdf(html, size=settings()["paper_size"], pictures=logo_in(look))
