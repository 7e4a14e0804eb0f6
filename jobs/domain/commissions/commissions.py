"""Commissions: open, change, price, and the moves of their life."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs.core.errors import Invalid, NotYet, RestsOnPaper, WrongState
from jobs.domain import lookups
from jobs.domain.billing.balances import currency_for_price
from jobs.domain.clients.erasure import refuse_if_forgotten
from jobs.domain.stages.waits import carry_on
from jobs.log.commands import Writing, command
from jobs.log.private_texts import keep
from jobs.models import Commission, Paper

Step = Commission.Step
MOVES: dict[str, tuple[str, ...]] = {
    Step.ENQUIRY: (Step.QUOTED, Step.ACCEPTED, Step.DECLINED, Step.CANCELLED),
    Step.QUOTED: (Step.ACCEPTED, Step.DECLINED, Step.CANCELLED),
    Step.ACCEPTED: (Step.IN_SHOP, Step.CANCELLED),
    Step.IN_SHOP: (Step.READY, Step.CANCELLED),
    Step.READY: (Step.IN_SHOP, Step.DELIVERED, Step.CANCELLED),
    Step.DELIVERED: (Step.READY, Step.CLOSED),
    Step.CLOSED: (Step.DELIVERED,),
}
"""Where a commission may go from where it is. The ways back follow a reopened stage."""
BY_HAND = (Step.QUOTED, Step.ACCEPTED, Step.DECLINED, Step.CANCELLED)
LONGEST_TITLE, LONGEST_DESCRIPTION, MOST_LINES = 200, 4000, 200
CHANGEABLE = {"title", "notes", "promise_on", "tell_days"}
LONGEST_SILENCE_D = 365
UNIT_CODES = {"C62": "piece", "HUR": "hour", "FTK": "square foot", "BFT": "board foot", "LS": "lump sum"}
"""Units of a price line, by UN/ECE Recommendation 20 codes."""
TAX_CATEGORIES = {"S": "taxed", "Z": "zero rate", "E": "exempt", "O": "outside tax"}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of a price: what, how many, for how much before tax."""

    description: str
    unit_price: Decimal
    quantity: Decimal = Decimal(1)
    unit_code: str = "C62"
    tax_category: str = "S"
    tax_pct: Decimal = Decimal(0)


@command
def open_commission(
    log: Writing, *, client: int, title: str, notes: str = "", promise_on: date | None = None
) -> None:
    """Take down an enquiry as a numbered commission."""
    found = lookups.client(client)
    log.seen(found.version, what="this client")
    refuse_if_forgotten(found)
    _check_title(title)
    number = _next_number(log)
    log.append(
        "commission_opened",
        f"commission:{number}",
        {
            "number": number,
            "client": found.id,
            "title": keep(title, field="title", longest=LONGEST_TITLE, one_line=True),
            "notes": keep(notes, field="notes"),
            "promise_on": promise_on,
        },
    )


@command
def change_commission(log: Writing, /, *, commission: str, **changes: Any) -> None:
    """Change title, notes, promise date or after how many days the client should be told something (0:
    never, None: as usual in the shop); what is not given stays.
    """
    found = lookups.commission(commission)
    log.seen(found.version, what=f"commission {found.number}")
    if not changes or set(changes) - CHANGEABLE:
        raise Invalid(
            "nothing that can be changed",
            field="commission",
            value=", ".join(sorted(changes)),
            allowed=", ".join(sorted(CHANGEABLE)),
        )
    data: dict[str, Any] = {"number": found.number}
    if "title" in changes:
        _check_title(changes["title"])
        data["title"] = keep(changes["title"], field="title", longest=LONGEST_TITLE, one_line=True)
    if "notes" in changes:
        data["notes"] = keep(changes["notes"], field="notes")
    if "promise_on" in changes:
        data["promise_on"] = changes["promise_on"]
    if "tell_days" in changes:
        data["tell_days"] = _tell_days(changes["tell_days"])
    log.append("commission_changed", f"commission:{found.number}", data)


def _tell_days(days: int | None) -> int | None:
    if days is not None and not 0 <= days <= LONGEST_SILENCE_D:
        allowed = f"0 to {LONGEST_SILENCE_D}, or none"
        raise Invalid("not a number of days", field="tell_days", value=days, allowed=allowed)
    return days


@command
def move_commission(log: Writing, *, commission: str, to: str, reason: str = "") -> None:
    """Mark a commission quoted, accepted, declined or cancelled. The other moves follow from stages.

    Accepting wants a price and a promised day; ``accept_order`` takes both with it.
    """
    log.by_owner("moving a commission")
    found = lookups.commission(commission)
    log.seen(found.version, what=f"commission {found.number}")
    if to not in BY_HAND:
        raise Invalid("no such move", field="to", value=to, allowed=", ".join(BY_HAND))
    if to == Step.CANCELLED and not reason.strip():
        raise Invalid(f"say why it is {to}", field="reason", value=reason, allowed="a sentence")
    if to == Step.CANCELLED:
        _refuse_if_invoiced(found.papers.filter(kind=Paper.Kind.INVOICE), found)
    if to == Step.ACCEPTED and to in MOVES.get(found.step, ()):
        refuse_unless_agreed(found)
    move(log, found, to, reason)
    if to == Step.ACCEPTED:
        for piece in found.pieces.order_by("number"):
            carry_on(log, piece)


def refuse_unless_agreed(commission: Commission) -> None:
    """Refuse to accept what has no price or no promised day, naming what is missing. For other commands."""
    missing = {
        "price": not commission.price_lines.exists() and "a price",
        "promise_on": commission.promise_on is None and "a promised day",
    }
    named = {field: what for field, what in missing.items() if what}
    if named:
        raise NotYet(
            f"commission {commission.number} needs {' and '.join(named.values())} before it is accepted",
            field=next(iter(named)), value="", allowed=" and ".join(named.values()),
            extra={"missing": list(named)},
        )  # fmt: skip


def move(log: Writing, commission: Commission, to: str, reason: str = "") -> None:
    """Append a move, or refuse it naming the moves there are. For other commands."""
    refuse_if_forgotten(commission.client)
    allowed = MOVES.get(commission.step, ())
    if to not in allowed:
        raise WrongState(
            f"commission {commission.number} is {commission.step}; it cannot become {to}",
            field="to",
            value=to,
            allowed=", ".join(allowed) or "nothing more",
        )
    log.append(
        "commission_moved",
        f"commission:{commission.number}",
        {
            "number": commission.number,
            "to": to,
            "reason": keep(reason, field="reason"),
        },
    )
    commission.step = to


@command
def set_price(log: Writing, *, commission: str, lines: Sequence[Line]) -> None:
    """Set what the client pays, line by line; replaces the lines there were."""
    log.by_owner("the price")
    found = lookups.commission(commission)
    log.seen(found.version, what=f"commission {found.number}")
    refuse_if_ended(found)
    put_price(log, found, lines)


def put_price(log: Writing, commission: Commission, lines: Sequence[Line]) -> None:
    """Append a price, unless the invoice of the whole rests on the one there is. For other commands."""
    whole = commission.papers.filter(kind=Paper.Kind.INVOICE, what="")
    _refuse_if_invoiced(whole, commission)
    if not 1 <= len(lines) <= MOST_LINES:
        raise Invalid("a price needs lines", field="lines", value=len(lines), allowed=f"1 to {MOST_LINES}")
    log.append(
        "price_set",
        f"commission:{commission.number}",
        {
            "number": commission.number,
            "currency": currency_for_price(commission),
            "lines": [kept_line(n, line) for n, line in enumerate(lines)],
        },
    )


def kept_line(n: int, line: Line) -> dict[str, Any]:
    """A checked line as it stands in an event. For other commands."""

    def check(name: str, held: bool, allowed: str) -> None:
        if not held:
            raise Invalid(
                f"line {n + 1}: {name} is not usable",
                field=f"lines/{n}/{name}",
                value=getattr(line, name),
                allowed=allowed,
            )

    check("description", bool(line.description.strip()), "a description")
    for name in ("quantity", "unit_price", "tax_pct"):
        check(name, getattr(line, name).is_finite(), "a number")
    check("quantity", -10_000 <= line.quantity <= 10_000 and line.quantity != 0, "-10000 to 10000, not 0")
    check("unit_price", 0 <= line.unit_price <= 10_000_000, "0 to 10000000; a return has a negative quantity")
    check("unit_code", line.unit_code in UNIT_CODES, ", ".join(UNIT_CODES))
    check("tax_category", line.tax_category in TAX_CATEGORIES, ", ".join(TAX_CATEGORIES))
    check("tax_pct", 0 <= line.tax_pct <= 100, "0 to 100")
    check("tax_pct", line.tax_category == "S" or line.tax_pct == 0, "0 where the category is not S")
    for name, places in (("quantity", 3), ("unit_price", 4), ("tax_pct", 3)):
        exponent = getattr(line, name).as_tuple().exponent
        check(name, isinstance(exponent, int) and -exponent <= places, f"up to {places} decimals")
    return {
        **{f: getattr(line, f) for f in ("quantity", "unit_code", "unit_price", "tax_category", "tax_pct")},
        "description": keep(line.description, field=f"lines/{n}/description", longest=LONGEST_DESCRIPTION),
    }


def refuse_if_ended(commission: Commission) -> None:
    """Nothing more is done on a closed, declined or cancelled commission. For other commands."""
    if commission.step in Commission.ENDED:
        raise WrongState(
            f"commission {commission.number} is {commission.step}",
            field="commission",
            value=commission.number,
            allowed="commissions that are not closed, declined or cancelled",
        )


def _refuse_if_invoiced(invoices: QuerySet[Paper], commission: Commission) -> None:
    invoice = invoices.filter(withdrawn_at=None).first()
    if invoice is not None:
        raise RestsOnPaper(
            f"invoice {invoice.number} rests on this; it has to be credited first",
            field="commission",
            value=commission.number,
            extra={"papers": [invoice.number]},
        )


def _check_title(title: str) -> None:
    if not title.strip():
        raise Invalid("a commission needs a title", field="title", value=title, allowed="a title")


def _next_number(log: Writing) -> str:
    year = timezone.localtime(log.call.now).year
    taken = Commission.objects.filter(number__startswith=f"{year}-").values_list("number", flat=True)
    return f"{year}-{max((int(n[5:]) for n in taken), default=0) + 1:03d}"
