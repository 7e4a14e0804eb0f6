"""What a commission cost and earned: the page of it, and what was bought. For the owner."""

from functools import partial
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core import blobs
from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.books.actual import sheet_view
from jobs.domain.books.costs import add_cost, correct_cost, void_cost
from jobs.log.commands import CommandResult
from jobs.log.private_texts import FORGOTTEN, read
from jobs.models import Cost
from jobs.models.bases import row_key
from jobs.web.billing.about import about
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, choice_field, date_field, number_field, reason_field, text_field
from jobs.web.kit.responses import kept_file
from jobs.web.kit.stored_translations import told_choices
from jobs.web.kit.undo import undo_offer


class CostForm(PageForm):
    """Something bought for an order; a new one takes a picture of its receipt, a correction a reason."""

    what = text_field(
        gettext_lazy("What was bought"), help_text=gettext_lazy("Such as delivery, or steel bars")
    )
    net = number_field(
        gettext_lazy("Amount without tax"),
        help_text=gettext_lazy("A negative sum for what you sent back"),
        autocomplete="off",
    )
    tax = number_field(
        gettext_lazy("Tax on it"), help_text=gettext_lazy("May stay empty"), autocomplete="off"
    )
    kind = choice_field(gettext_lazy("Counts as"), told_choices(Cost.Kind.choices))
    supplier = text_field(gettext_lazy("From"), help_text=gettext_lazy("May stay empty"))
    day = date_field(gettext_lazy("Day of the bill"))
    picture = forms.FileField(
        label=gettext_lazy("Picture of the receipt"),
        required=False,
        help_text=gettext_lazy("May stay empty"),
        widget=forms.FileInput(
            {"accept": "image/jpeg,image/png,image/webp", "capture": "environment", "data-shrink": ""}
        ),
    )
    reason = reason_field(gettext_lazy("What was wrong"), help_text=gettext_lazy("May stay empty"))

    def __init__(self, data: Any = None, sent: Any = None, *, is_new: bool, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or MultiValueDict()
        del self.fields["reason" if is_new else "picture"]


class VoidCostForm(PageForm):
    reason = reason_field(help_text=gettext_lazy("May stay empty"))


def _asked(asked: dict[str, Any]) -> dict[str, Any]:
    picture = asked.pop("picture", None)
    asked |= {"net": to_money(asked["net"], "net"), "tax": to_money(asked["tax"] or "0", "tax")}
    return {**asked, "picture": picture.read()} if picture else asked


@owner
@require_safe
def sheet(request: SignedIn, number: str) -> HttpResponse:
    """Show quoted beside actual costs, what the order earned, and every cost line by line."""
    found = lookups.commission(number)
    return render(request, "web/books/sheet.html", {**about(found), "sheet": sheet_view(found)})


@owner
@require_http_methods(["GET", "POST"])
def add(request: SignedIn, number: str) -> HttpResponse:
    """Add something bought for the order."""
    found = lookups.commission(number)
    usual = {"day": timezone.localdate(), "kind": Cost.Kind.OTHER}
    form = CostForm(
        request.POST or None, request.FILES, seen=found.version, initial=usual, is_new=True
    )  # fmt: skip
    return _form_page(
        request, form, number, lambda call, **asked: add_cost(call, commission=number, **_asked(asked)),
        _("The cost is kept."), {"says": _("Add a cost")}, partial(_offer_undo, request),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def correct(request: SignedIn, cost: int) -> HttpResponse:
    """Correct a mistyped cost: it is voided and the right one kept."""
    found = lookups.cost(cost)
    usual = {
        "what": read(found.what_ref), "net": f"{found.net:f}", "tax": f"{found.tax:f}", "kind": found.kind,
        "supplier": read(found.supplier_ref), "day": found.day,
    }  # fmt: skip
    form = CostForm(request.POST or None, seen=found.commission.version, initial=usual, is_new=False)
    return _form_page(
        request, form, found.commission.number,
        lambda call, **asked: correct_cost(call, cost=cost, **_asked(asked)),
        _("The cost is corrected."), {"says": _("Correct this cost"), "cost": found},
    )  # fmt: skip


def _form_page(
    request: SignedIn, form: CostForm, number: str, command: Any, says: str, more: dict[str, Any],
    undo: Any = None,
) -> HttpResponse:  # fmt: skip
    of = about(lookups.commission(number))
    for name in ("net", "tax"):
        form.show_unit(name, of["currency"])
    return command_page(
        request, form, command, (says, "web:commission-costs", number), "web/books/cost.html",
        lambda: {**of, **more}, undo,
    )  # fmt: skip


def _offer_undo(request: SignedIn, done: CommandResult, says: str) -> None:
    address = reverse("web:void-cost", args=[row_key(done.events[0].seq)])
    undo_offer(request, says, address, {"reason": _("Tapped by mistake")})


@owner
@require_http_methods(["GET", "POST"])
def void(request: SignedIn, cost: int) -> HttpResponse:
    """Void a cost that never was."""
    found = lookups.cost(cost)
    number = found.commission.number
    return command_page(
        request, VoidCostForm(request.POST or None, seen=found.commission.version),
        partial(void_cost, cost=cost), (_("The cost is void."), "web:commission-costs", number),
        "web/books/cost_void.html",
        lambda: {**about(found.commission), "cost": found, "what": read(found.what_ref)},
    )  # fmt: skip


@owner
@require_safe
def receipt(request: SignedIn, cost: int) -> HttpResponse:
    """Return the picture of the receipt of a cost."""
    found = lookups.cost(cost)
    name = read(found.picture_ref)
    if name in ("", FORGOTTEN):
        raise Http404
    return kept_file(request, blobs.load(name), "image/jpeg", version=name)
