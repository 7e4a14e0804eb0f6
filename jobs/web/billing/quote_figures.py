"""What the page of a quote shows beside what is typed: costs, what is left, sums, choices with tax."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from calcs.kit.errors import CalcError
from calcs.kit.rounding import places
from calcs.money.invoice import Sums, line_net
from jobs.core.errors import ShopError
from jobs.core.parsing import to_decimal
from jobs.domain.billing.deposits import Ask, deposit_of
from jobs.domain.billing.prices import Line, Priced, price_of
from jobs.domain.quoting.alternatives import place_of
from jobs.domain.settings import settings
from jobs.web.billing.offer_forms import OfferForm, choices_of
from jobs.web.billing.prices import price_line
from jobs.web.kit.formatting import money_words, number_words
from jobs.web.kit.stored_translations import translate_stored

HUNDRED = Decimal(100)
PARTS = {"material: lumber": gettext_noop("wood"), "hours at the shop's rate": gettext_noop("work")}
SUPPLIES = gettext_noop("supplies")


def typed(form: OfferForm) -> dict[str, Any]:
    """Return what the form holds, typed or proposed."""
    return {name: "" if (value := form[name].value()) is None else value for name in form.fields}


def lines_of(form: OfferForm) -> dict[int, Line]:
    """Return the filled lines that can be read, by their places on the form."""
    asked, found = typed(form), {}
    for n in form.written(asked):
        try:
            found[n] = price_line(n, n, asked, with_tax=form.usual.with_tax)
            line_net(quantity=found[n].quantity, unit_price=found[n].unit_price)
        except (ShopError, CalcError, ArithmeticError):
            found.pop(n, None)
    return found


def places_of(lines: Mapping[int, Line], labels: Mapping[str, str]) -> dict[str, int]:
    """Return the place of each piece's line on the form, by the number of the piece."""
    where, listed = list(lines), list(lines.values())
    found = {number: place_of(listed, number, labels) for number in labels}
    if len(listed) == 1 and len(labels) > 1:  # one line for them all is no line of a piece
        return {}
    return {number: where[place] for number, place in found.items() if place is not None}


def figures(
    form: OfferForm, basis: Mapping[str, Any], labels: Mapping[str, str], *, after: Sequence[Priced] = ()
) -> dict[str, Any]:
    """Return the figures beside each line, and the sums of what is typed.

    ``after`` is the price that a change order changes: its tax is what that of the price grows by.
    """
    lines = lines_of(form)
    known = {told["piece"]: told for told in basis.get("pieces", [])}
    of_piece = {place: known[number] for number, place in places_of(lines, labels).items() if number in known}
    sums = _sums(list(lines.values()), after=after)
    costs = [Decimal(told["cost"]) for told in of_piece.values() if "cost" in told]
    net, cost = sums.net if sums else Decimal(0), sum(costs, Decimal(0))
    pct, fixed = (_number(typed(form).get(name)) for name in ("deposit_pct", "deposit_sum"))
    ask = None if pct is None or not 0 <= pct <= HUNDRED else Ask(pct=pct)
    ask = Ask(amount=fixed) if fixed is not None and fixed > 0 else ask
    return {
        "lines": [_line(lines.get(n), of_piece.get(n)) for n in range(form.count)],
        "net": net,
        "tax": sums.tax if sums else Decimal(0),
        "total": sums.gross if sums else Decimal(0),
        "deposit": deposit_of(sums, ask) if sums and ask is not None else None,
        "cost": cost if costs else None,
        "left": net - cost if costs else None,
        "left_pct": _share(net - cost, net) if costs else None,
        "aims_at": _aim(),
        "shown": [
            {"description": line.description, "amount": _typed(line)} for line in lines.values()
        ],
        "choices": _choices(form, list(lines.values())),
    }  # fmt: skip


def _sums(lines: list[Line], *, after: Sequence[Priced] = ()) -> Sums | None:
    """Return the sums of lines; None where they do not add up yet."""
    try:
        return price_of(lines, after=after).sums if lines else None
    except (ShopError, CalcError):
        return None


def _line(line: Line | None, told: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return what one line comes to, what it costs and what is left of it before tax."""
    amount = _typed(line) if line else None
    if told is None or "cost" not in told or line is None or amount is None:
        return {"amount": amount, "cost": None, "left_pct": None, "says": ""}
    cost, net = Decimal(told["cost"]), price_of([line]).sums.net
    each = places(cost / line.quantity, 2) if line.quantity else cost
    return {
        "amount": amount,
        "cost": each,
        "left_pct": _share(net - cost, net),
        "says": ", ".join(_parts(told["lines"], Decimal(told["hours"]))),
    }


def _parts(lines: list[dict[str, Any]], hours: Decimal) -> Iterator[str]:
    """Yield what wood, supplies and work come to, in words."""
    found: dict[str, Decimal] = {}
    for line in lines:
        why = line["why"].partition(",")[0]
        if why in PARTS or why.startswith("material: "):
            name = PARTS.get(why, SUPPLIES)
            found[name] = found.get(name, Decimal(0)) + Decimal(line["amount"])
    for name, amount in found.items():
        yield f"{translate_stored(name)} {money_words(amount, '')}"
    if hours:
        yield _("%(hours)s h") % {"hours": number_words(places(hours, 1))}


def _typed(line: Line) -> Decimal:
    return line_net(quantity=line.quantity, unit_price=line.unit_price)


def _share(part: Decimal, whole: Decimal) -> Decimal | None:
    return places(HUNDRED * part / whole, 0) if whole > 0 else None


def _aim() -> Decimal | None:
    """Return the share of the price that the shop wants left, in percent; None where it set no profit."""
    shop = settings()
    pct = Decimal(shop["profit_pct"])
    if not pct:
        return None
    return pct if shop["profit_as"] == "margin" else places(HUNDRED * pct / (HUNDRED + pct), 0)


def _choices(form: OfferForm, lines: list[Line]) -> list[dict[str, Any]]:
    """Return each choice with what it adds to the total, tax included."""
    try:
        found = choices_of(typed(form), form.others) if form.is_quote else []
    except ShopError:
        return []
    told = []
    for one in found:
        if one.difference is None or (before := _sums(lines)) is None:
            continue
        extra = Line(
            description=one.description,
            quantity=Decimal(1 if one.difference >= 0 else -1),
            unit_price=abs(one.difference),
            tax_category=lines[0].tax_category,
            tax_pct=lines[0].tax_pct,
            with_tax=lines[0].with_tax,
        )
        after = _sums([*lines, extra])
        more = after.gross - before.gross if after else None
        told.append({"description": one.description, "with_tax": more})
    return told


def rounded(price: Decimal, step: str) -> Decimal:
    """Return a price rounded to a step, half up; as it is without one."""
    number = _number(step)
    if not number or number <= 0:
        return price
    return (price / number).quantize(Decimal(1), ROUND_HALF_UP) * number


def _number(text: Any) -> Decimal | None:
    try:
        return to_decimal(str(text), "number") if text else None
    except ShopError:
        return None
