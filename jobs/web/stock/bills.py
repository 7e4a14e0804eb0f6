"""One bill for several boards. For the owner."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.domain.settings import settings
from jobs.domain.stock.bills import price_boards, unpriced
from jobs.domain.stock.queries import board_views
from jobs.models import Person
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import OpenNumbers, PageForm, number_field


class BillForm(PageForm):
    """The sum of a bill, and the boards on it."""

    total = number_field(gettext_lazy("Sum of the bill without tax"), autocomplete="off")
    boards = OpenNumbers(
        label=gettext_lazy("Boards on the bill"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.offer("boards", _choices(person))


def _choices(person: Person) -> list[tuple[int, str]]:
    says = _("%(number)s, %(species)s, %(feet)s board feet")
    return [
        (
            view["number"],
            says % {
                "number": view["number"], "species": view["species"],
                "feet": number_words(view["board_feet"]),
            },
        )
        for view in board_views(unpriced(), with_money=person.is_owner)
    ]  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def bill(request: SignedIn) -> HttpResponse:
    """Lay the sum of a bill on boards by their feet."""
    form = BillForm(request.POST or None, person=request.user)
    form.show_unit("total", settings()["currency"])
    return command_page(
        request, form, price_boards, (_("The boards have their prices."), "web:stock"), "web/stock/bill.html"
    )
