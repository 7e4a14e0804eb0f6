"""Changes of a quote's form before it is sent: another line, a choice more or less, prices that follow."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.http import QueryDict

from jobs.domain.billing.prices import UsualTax
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.draft_prices import priced_alternatives
from jobs.domain.quoting.proposals import SPECIES
from jobs.models import Commission
from jobs.web.billing.offer_forms import OF_CHOICE, OfferForm
from jobs.web.billing.quote_figures import lines_of, places_of, rounded
from jobs.web.billing.quote_form import WORDS
from jobs.web.kit.formatting import number_words

REMOVE = "remove-"
"""The button that removes a choice: ``remove-2``."""


def count_of(data: QueryDict, what: str) -> int:
    """Return how many lines or choices a form sent."""
    return sum(name.startswith(f"{what}/") and name.endswith("/description") for name in data)


def remove_choice(data: QueryDict, place: int) -> None:
    """Take a choice out of what was typed; those below it move up."""
    count = count_of(data, "choices")
    rows = [[data.get(f"choices/{n}/{part}", "") for part in OF_CHOICE] for n in range(count) if n != place]
    for n in range(count):
        for part in OF_CHOICE:
            data.pop(f"choices/{n}/{part}", None)
    for n, row in enumerate(rows):
        for part, value in zip(OF_CHOICE, row, strict=True):
            data[f"choices/{n}/{part}"] = value


def add_choice(
    data: QueryDict, commission: Commission, hours: Mapping[str, Decimal], usual: UsualTax
) -> None:
    """Add the picked choice to what was typed; another wood or finish is worded and priced."""
    picked = data.get("choice", WORDS)
    if picked == WORDS:
        one = Alternative()
    else:
        what, piece, to = picked.split("/", 2)
        wood, finish = (to, "") if what == SPECIES else ("", to)
        asked = Alternative(piece=piece, species=wood, finish=finish)
        one = priced_alternatives(commission, [asked], hours, usual)[0]
    n = count_of(data, "choices")
    for part in OF_CHOICE:
        value = getattr(one, part)
        data[f"choices/{n}/{part}"] = number_words(value) if isinstance(value, Decimal) else value or ""


def follow(form: OfferForm, basis: Mapping[str, Any], labels: Mapping[str, str], step: str) -> set[int]:
    """Let the price of each line that nobody typed follow the proposal; return the lines that moved."""
    assert isinstance(form.data, QueryDict), "a form that was sent"
    data, moved = form.data.copy(), set()
    wanted = {told["piece"]: told["price"] for told in basis.get("pieces", [])}
    for number, n in places_of(_with_open_prices(form), labels).items():
        price, follows = f"lines/{n}/unit_price", f"lines/{n}/follows"
        if wanted.get(number) is None or data.get(price, "") != data.get(follows, ""):
            continue
        proposed = number_words(rounded(Decimal(wanted[number]), step))
        if proposed != data.get(price):
            data[price] = data[follows] = proposed
            moved.add(n)
    form.data = data
    return moved


def _with_open_prices(form: OfferForm) -> Any:
    """Return the lines of the form; one whose price is still open counts as free of charge."""
    data = form.data
    assert isinstance(data, QueryDict), "a form that was sent"
    whole = data.copy()
    for n in range(form.count):
        if not whole.get(f"lines/{n}/unit_price"):
            whole[f"lines/{n}/unit_price"] = "0" if whole.get(f"lines/{n}/description") else ""
    form.data = whole
    found = lines_of(form)
    form.data = data
    return found
