"""The quote and the change order: what is offered, until when, and the alternatives."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext_noop as _

from jobs.documents.invoice import line_words, sum_row, tax_rows
from jobs.documents.kit.layout import Frozen, html_of
from jobs.documents.kit.wording import MINUS, clean, day, money, needs_wrap, percent
from jobs.domain.papers.kinds import PaperKind, Step, register
from jobs.models import Paper


def quote_html(frozen: Frozen) -> str:
    """Return the HTML of a quote from its frozen content."""
    asked = f"{percent(frozen['deposit_pct'])} of the total, {money(frozen['deposit'], frozen['currency'])}"
    return _offer(
        "Quote",
        frozen,
        sums=[
            sum_row("Net", money(frozen["net"], frozen["currency"]), look="line"),
            *tax_rows(frozen),
            sum_row("Total", money(frozen["total"], frozen["currency"]), look="due"),
        ],
        deposit=f"{asked}, when you accept" if Decimal(frozen["deposit_pct"]) else "",
    )


def change_html(frozen: Frozen) -> str:
    """Return the HTML of a change order from its frozen content."""
    currency = frozen["currency"]
    changes = [
        sum_row("Net", signed(frozen["net"], currency), look="line"),
        *tax_rows(frozen),
        sum_row("Change in price", signed(frozen["total"], currency), look="line strong"),
    ]
    return _offer(
        "Change order",
        frozen,
        sums=[
            *(changes if frozen["lines"] else []),
            sum_row("Price until now", money(frozen["total_before"], currency)),
            sum_row("Price from then on", money(frozen["total_after"], currency), look="due"),
        ],
        promised_before=day(frozen["promised_before"]),
    )


def _offer(title: str, frozen: Frozen, **more: Any) -> str:
    return html_of(
        "quote",
        title,
        frozen,
        {
            "currency": frozen["currency"],
            "offer": frozen["offer"],
            "version": frozen["version"],
            "valid_until": day(frozen["valid_until"]),
            "promised": day(frozen["promise_on"]),
            "words": clean(frozen["words"]),
            "own_terms": clean(frozen["terms"]),
            "lines": [line_words(line) for line in frozen["lines"]],
            "alternatives": [_alternative(a) for a in frozen["alternatives"]],
            **more,
        },
    )


def _alternative(one: Frozen) -> dict[str, Any]:
    description = clean(one["description"])
    return {
        "description": description,
        "wrap": needs_wrap(description),
        "difference": signed(one["difference"]),
        "with_tax": signed(one["with_tax"]),
    }


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
