"""The quote and the change order: what is built, for how much, until when, and the client's yes."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext_noop as _

from jobs.documents.invoice import lines_of, price_rows, sum_row, with_tax
from jobs.documents.kit.layout import Frozen, commission_line, drawn, facts, html_of
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.documents.kit.tax_words import number_names, tax_within
from jobs.documents.kit.wording import MINUS, clean, day, money, needs_wrap, percent
from jobs.domain.papers.kinds import PaperKind, Step, register
from jobs.models import Paper

MOST_TOGETHER = 12
"""Choices that stay on one page with the acceptance; more of them begin before it."""
LONGEST_TOGETHER = 900
"""Letters of terms that stay whole on a page; longer ones may go over it."""
LARGE = 3
"""So many pieces have a large drawing; of more pieces each has a small one."""
EDGES = {
    "square": "square", "eased": "eased all round", "rounded over": "rounded over", "bevelled": "beveled",
    "bullnose": "bullnose",
}  # fmt: skip


def quote_html(frozen: Frozen) -> str:
    """Return the HTML of a quote from its frozen content."""
    currency, tax = frozen["currency"], tax_within(frozen)
    pieces = frozen.get("pieces", [])
    return _offer(
        "Quote",
        frozen,
        sums=price_rows(
            frozen, sum_row(with_tax(frozen, "Total"), money(frozen["total"], currency), look="due")
        ),
        pieces=[_piece(one, Sizes.of(frozen)) for one in pieces],
        large=len(pieces) <= LARGE,
        included=_lines(frozen.get("included")),
        excluded=_lines(frozen.get("excluded")),
        dates=list(_dates(frozen)),
        agreed=[
            (f"Total with {tax}", money(frozen["total"], currency)),
            *([("Deposit now", money(frozen["deposit"], currency))] if Decimal(frozen["deposit"]) else []),
            *_drawings(pieces),
            ("Holds until", day(frozen["valid_until"]) or "set when it is issued"),
        ],
        accepts="I accept this quote, with "
        + ("the drawings named here, " if any(one["drawing"] for one in pieces) else "")
        + "its terms"
        + (" and the changes ticked above." if frozen["alternatives"] else "."),
    )


def change_html(frozen: Frozen) -> str:
    """Return the HTML of a change order from its frozen content."""
    currency, tax = frozen["currency"], tax_within(frozen)
    total = sum_row("Change in price", signed(frozen["total"], currency), look="line strong")
    changes = price_rows(frozen, total, shown=signed)
    return _offer(
        "Change order",
        frozen,
        sums=[
            *(changes if frozen["lines"] else []),
            sum_row("Price until now", money(frozen["total_before"], currency)),
            sum_row("Price from then on", money(frozen["total_after"], currency), look="due"),
        ],
        dates=list(_dates_of_change(frozen)),
        agreed=[
            (f"Until now, with {tax}", money(frozen["total_before"], currency)),
            (f"Change, with {tax}", signed(frozen["total"], currency)),
            ("From then on", money(frozen["total_after"], currency)),
            ("Holds until", day(frozen["valid_until"]) or "set when it is issued"),
        ],
        accepts="I accept this change of what we agreed. All else stays as agreed.",
    )


def _offer(title: str, frozen: Frozen, **more: Any) -> str:
    own, of_shop = clean(frozen["terms"]), clean(frozen["shop"].get("terms"))
    is_change = "promised_before" in frozen  # the terms stand in the quote that it changes
    terms = own or ("" if is_change else of_shop)
    choices = [_choice(one) for one in frozen["alternatives"]]
    drawings = {one["line"]: _drawing(one) for one in frozen.get("pieces", []) if one["drawing"]}
    return html_of(
        "quote",
        title,
        frozen,
        {
            "currency": frozen["currency"],
            "facts": _facts(frozen),
            "tax_within": tax_within(frozen),
            "with_tax": bool(frozen.get("with_tax")),
            "words": clean(frozen["words"]),
            "terms": terms,
            "lines": [{**one, "under": drawings.get(n)} for n, one in enumerate(lines_of(frozen))],
            "choices": choices,
            "choices_apart": len(choices) > MOST_TOGETHER,
            "terms_break": len(terms) > LONGEST_TOGETHER,
            **more,
        },
    )


def _facts(frozen: Frozen) -> list[dict[str, str]]:
    """Return what stands beside the address."""
    version, before = frozen["version"], frozen.get("promised_before")
    moved = before and before != frozen["promise_on"]
    return facts(
        ("Issued", day(frozen["issued_on"]) or "not issued"),
        ("Holds until", day(frozen["valid_until"]) or "set when it is issued"),
        ("Ready by", day(frozen["promise_on"]), f"until now {day(before)}" if moved else ""),
        ("Commission", commission_line(frozen)),
        ("Version", f"{version}, in place of the earlier ones" if version > 1 else ""),
        (number_names(frozen)["ours"], clean(frozen["shop"].get("tax_id"))),
        (number_names(frozen)["yours"], clean(frozen["client"].get("tax_id"))),
    )


def _lines(text: str | None) -> list[str]:
    return [line.strip() for line in clean(text).split("\n") if line.strip()]


def _choice(one: Frozen) -> dict[str, Any]:
    description = clean(one["description"])
    return {
        "description": description,
        "wrap": needs_wrap(description),
        "with_tax": signed(one["with_tax"]),
    }


def _piece(one: Frozen, sizes: Sizes) -> dict[str, Any]:
    count = f", {one['quantity']} of them" if one["quantity"] > 1 else ""
    return {
        "name": f"{clean(one['label'])}{count}",
        "drawing": drawn(one["drawing"]) if one["drawing"] else "",
        "facts": list(_specification(one, sizes)),
    }


def _specification(one: Frozen, sizes: Sizes) -> Iterator[tuple[str, str]]:
    """Yield the specification of a piece by name, in the order in which it is looked for."""
    sides = [one[name] for name in ("length_len", "width_len", "thickness_len")]
    if any(sides):
        at = f" at {percent(one['made_pct'])} moisture" if one["wood"] else ""
        yield "Size", f"{sizes.finished(*sides)}, ±{sizes.bare.joint(one['tolerance_len'])}{at}"
    if one["wood"]:
        yield "Wood", ", ".join(part for part in (clean(one["wood"]), str(one["cut"])) if part)
    if one["end_wide_len"]:
        pegged = ", pegged" if one["pegs"] else ""
        yield "Ends", f"breadboard ends {sizes.bench(one['end_wide_len'])} wide{pegged}{_moves(one, sizes)}"
    if one["edge"]:
        yield "Edge", EDGES.get(one["edge"], str(one["edge"]))
    if one["channels"]:
        several = "channels" if one["channels"] > 1 else "channel"
        yield "Below", f"{one['channels']} steel {several} let in flush to keep it flat"
    if one["finish"]:
        alike = one["finish"] == one["finish_under"] or not one["finish_under"]
        under = ", both faces" if alike else f"; below {clean(one['finish_under'])}"
        yield "Finish", f"{clean(one['finish'])}{under}"
    if one["drawing"]:
        yield "Drawing", f"{one['drawing_number']}, revision {one['revision']}"


def _moves(one: Frozen, sizes: Sizes) -> str:
    """Return how far the panel stands proud of its ends, or short of them, over the year."""
    dry, humid = one["reveal"]["dry_len"], one["reveal"]["humid_len"]
    told = [
        *(
            [f"up to {sizes.bench(-humid, 'up')} proud of them in humid summers"]
            if humid and humid < 0
            else []
        ),
        *([f"up to {sizes.bench(dry, 'up')} short of them in dry winters"] if dry and dry > 0 else []),
    ]
    return f"; across the panel each edge stands {' and '.join(told)}" if told else ""


def _drawing(one: Frozen) -> str:
    return f"drawing{NBSP}{one['drawing_number']}, revision{NBSP}{one['revision']}"


def _drawings(pieces: list[Frozen]) -> Iterator[tuple[str, str]]:
    told = [f"{one['drawing_number']}, rev.{NBSP}{one['revision']}" for one in pieces if one["drawing"]]
    if told:
        yield "Drawing" if len(told) == 1 else "Drawings", "\n".join(told)


def _dates(frozen: Frozen) -> Iterator[str]:
    """Yield what is paid when, and what moves the day."""
    currency, total = frozen["currency"], Decimal(frozen["total"])
    deposit, pct = Decimal(frozen["deposit"]), Decimal(frozen["deposit_pct"])
    days = frozen.get("due_days")
    within = f", within {days} days" if days else ""
    if deposit:
        share = f", {percent(pct)} of {money(total)}" if pct else ""
        buys = "; we buy your wood with it" if frozen.get("wood_after_deposit") else ""
        yield f"Deposit {money(deposit, currency)}{share}, when you accept{buys}."
        if total > deposit:
            yield f"The rest, {money(total - deposit, currency)}, by our invoice at delivery{within}."
    else:
        yield f"The whole, {money(total, currency)}, by our invoice at delivery{within}."
    if frozen["promise_on"]:
        yield f"Ready by {day(frozen['promise_on'])}."
    waits = [
        *(["the deposit is in"] if deposit else []),
        *(["you approved the drawings"] if any(one["drawing"] for one in frozen.get("pieces", [])) else []),
    ]
    if waits:
        yield f"Work starts when {' and '.join(waits)}. A week of delay moves the day by a week."


def _dates_of_change(frozen: Frozen) -> Iterator[str]:
    """Yield what a change does to the deposit, and to the day."""
    deposits = Decimal(frozen.get("deposits", 0))
    if deposits:
        yield f"The deposit of {money(deposits, frozen['currency'])} stays as it was invoiced."
        yield "The change is in the invoice at delivery."
    promised, before = frozen["promise_on"], frozen["promised_before"]
    if promised and promised != before:
        instead = f" instead of {day(before)}" if before else ""
        yield f"Ready by {day(promised)}{instead}."
    elif before:
        yield f"Ready by {day(before)}, as before."


def signed(amount: str | Decimal, currency: str = "") -> str:
    """Return an amount with its sign: ``+ 420.00``, or a true minus where it is negative."""
    number = Decimal(amount)
    return f"{MINUS if number < 0 else '+'} {money(abs(number), currency)}"


register(
    PaperKind(
        key=Paper.QUOTE,
        prefix="Q",
        title=_("Quote"),
        layout=quote_html,
        steps=(Step.ENQUIRY, Step.QUOTED),
        is_for_client=True,
        place=6,
    )
)
register(
    PaperKind(
        key=Paper.CHANGE,
        prefix="X",
        title=_("Change order"),
        layout=change_html,
        steps=(Step.ACCEPTED, Step.IN_SHOP, Step.READY),
        is_for_client=True,
        place=7,
    )
)
