"""A commission's price by line, for orders without a quote. For the owner."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.core.parsing import to_decimal, to_money
from jobs.domain import lookups
from jobs.domain.billing.prices import MOST_LINES, UNIT_CODES, Line, UsualTax, set_price, usual_tax
from jobs.domain.billing.taxes import TAX_CATEGORIES, offered
from jobs.domain.overviews.commission import commission_view
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.settings import tax_name
from jobs.log.commands import CommandResult
from jobs.models import Commission
from jobs.web.billing.about import about
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, choice_field, number_field, text_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import capital, told_choices, told_tax

SPARE_LINES = 2
PARTS = ("description", "quantity", "unit_code", "unit_price", "tax_category", "tax_pct")
TELLING = ("description", "unit_price")
"""A line with neither is blank and not sent."""


class PriceForm(PageForm):
    """The lines of a price; a field has the name that a refusal uses, such as ``lines/0/quantity``."""

    def __init__(self, data: Any = None, *, count: int, usual: UsualTax, **more: Any) -> None:
        super().__init__(data, **more)
        self.count, self.usual = min(count, MOST_LINES), usual
        name = told_tax()
        each = _("Each, with %(tax)s") if usual.with_tax else _("Each, before %(tax)s")
        categories = self._categories()
        for n in range(self.count):
            self.fields.update(
                {
                    f"lines/{n}/description": text_field(_("What"), autocomplete="off"),
                    f"lines/{n}/quantity": number_field(_("How many"), autocomplete="off"),
                    f"lines/{n}/unit_code": choice_field(_("Unit"), told_choices(UNIT_CODES.items())),
                    f"lines/{n}/unit_price": number_field(each % {"tax": name}, autocomplete="off"),
                    f"lines/{n}/tax_category": choice_field(capital(name), told_choices(categories.items())),
                    f"lines/{n}/tax_pct": number_field(_("Rate"), suffix="%", autocomplete="off"),
                }
            )
            for part, value in (
                ("quantity", "1"),
                ("tax_category", usual.tax_category),
                ("tax_pct", number_words(usual.tax_pct)),
            ):
                self.fields[f"lines/{n}/{part}"].initial = value

    def _categories(self) -> dict[str, str]:
        """Return the categories to choose from: the shop's, and any other that a line has."""
        held = {self.initial.get(f"lines/{n}/tax_category") for n in range(self.count)}
        usual = offered(tax_name())
        return {key: words for key, words in TAX_CATEGORIES.items() if key in usual or key in held}

    @property
    def lines(self) -> list[dict[str, Any]]:
        return [{part: self[f"lines/{n}/{part}"] for part in PARTS} for n in range(self.count)]

    def written(self, asked: dict[str, Any]) -> list[int]:
        """Return the numbers of the lines that are filled in."""
        return [n for n in range(self.count) if any(asked[f"lines/{n}/{part}"] for part in TELLING)]

    def lines_of(self, asked: dict[str, Any]) -> list[Line]:
        """Return the filled lines as a price takes them."""
        with_tax = self.usual.with_tax
        written = enumerate(self.written(asked))
        return [price_line(position, n, asked, with_tax=with_tax) for position, n in written]

    def field_of(self, name: str) -> str:
        """Return the field of a refusal, which counts filled lines only; the form has blank ones too."""
        head, slash, rest = name.partition("/")
        position, slash, part = rest.partition("/")
        if head != "lines" or not position.isdigit():
            return name
        written = self.written(self.cleaned_data_or_typed())
        return f"lines/{written[int(position)]}/{part}" if int(position) < len(written) else name

    def cleaned_data_or_typed(self) -> dict[str, Any]:
        """Return what was typed, the refused fields included."""
        return {name: self.data.get(name, "").strip() for name in self.fields}


@owner
@require_http_methods(["GET", "POST"])
def price(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    usual = usual_tax(found, timezone.localdate())
    before = _lines_before(found)
    if request.method == "GET":
        count = len(before) + SPARE_LINES
        form = PriceForm(initial=_initial(before), count=count, usual=usual, seen=found.version)
    else:
        count = sum(name.startswith("lines/") and name.endswith("/description") for name in request.POST)
        more = SPARE_LINES if "more" in request.POST else 0
        form = PriceForm(request.POST, count=count + more, usual=usual)
        done = None if more else form.carry_out(lambda asked: _set_price(request, form, number, asked))
        if done:
            return redirect_with_message(request, done, _("The price is set."), "web:commission", number)
    context = {**about(found), "form": form, "currency": currency_for_price(found), "usual": usual}
    return render(request, "web/billing/price.html", context, status=form.status)


def _set_price(request: SignedIn, form: PriceForm, number: str, asked: dict[str, Any]) -> CommandResult:
    lines = form.lines_of(asked)
    return set_price(form.call(request), commission=number, lines=lines)


def price_line(position: int, n: int, asked: dict[str, Any], *, with_tax: bool) -> Line:
    """Return line ``n`` of a form as the line at ``position`` of a price."""

    def decimal(part: str, blank: str, read: Callable[[Any, str], Decimal] = to_decimal) -> Decimal:
        return read(asked[f"lines/{n}/{part}"] or blank, f"lines/{position}/{part}")

    return Line(
        description=asked[f"lines/{n}/description"],
        quantity=decimal("quantity", ""),
        unit_code=asked[f"lines/{n}/unit_code"],
        unit_price=decimal("unit_price", "", to_money),
        tax_category=asked[f"lines/{n}/tax_category"],
        tax_pct=decimal("tax_pct", "0"),
        with_tax=with_tax,
    )


def _lines_before(found: Commission) -> list[dict[str, Any]]:
    view = commission_view(found, now=timezone.now(), with_money=True)
    lines: list[dict[str, Any]] = view["money"]["price"]["lines"]
    return lines


def _initial(lines: list[dict[str, Any]]) -> dict[str, str]:
    return {
        f"lines/{n}/{part}": number_words(value) if isinstance(value, Decimal) else value
        for n, line in enumerate(lines)
        for part, value in {**line, "unit_price": line["typed_price"]}.items()
        if part in PARTS
    }
