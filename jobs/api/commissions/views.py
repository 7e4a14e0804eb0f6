"""Commissions: open, change, move, price, payments."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.commissions.money_serializers import PaymentIn
from jobs.api.commissions.serializers import (
    AcceptOrderIn,
    CommissionChangeIn,
    CommissionDone,
    CommissionIn,
    CommissionOut,
    CommissionPage,
    CommissionsIn,
    MoveIn,
    PriceIn,
    ReopenIn,
    TakeBackIn,
)
from jobs.api.kit import output
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import COMMISSION as PLACE
from jobs.api.kit.routes import command_routes, route, view_route
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.view_bases import View
from jobs.api.service.history_serializers import ToldOut
from jobs.domain import lookups
from jobs.domain.billing.orders import accept_order, take_back_acceptance
from jobs.domain.billing.payments import Share, record_payment
from jobs.domain.billing.prices import Line, UsualTax, set_price, usual_tax
from jobs.domain.commissions.commissions import change_commission, move_commission, open_commission
from jobs.domain.overviews.bench import LIVE
from jobs.domain.overviews.commission import commission_rows, commission_view
from jobs.domain.settings import settings
from jobs.domain.waits.closing import reopen_commission
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.history import told
from jobs.models import Commission


def show(view: View, number: str) -> dict[str, Any]:
    found = lookups.commission(number)
    seen = commission_view(found, now=timezone.now(), with_money=view.with_money, units=view.units)
    return output.commission(seen)


COMMISSION = Resource(
    name="commission", done=CommissionDone, show=show, address="commission",
    key_of=lambda done: done.events[0].stream.removeprefix("commission:"),
)  # fmt: skip


class CommissionsView(View):
    """Every order."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[CommissionsIn], responses=CommissionPage)
    def get(self, request: Request) -> Response:
        """Commissions, newest first."""
        asked = self.query(CommissionsIn)
        wanted = {name: asked[name] for name in ("step", "client") if name in asked}
        found = Commission.objects.filter(**wanted).select_related("client")
        if "live" in asked:
            found = found.filter(step__in=LIVE) if asked["live"] else found.exclude(step__in=LIVE)
        now = timezone.now()

        def rows(found: Iterable[Commission]) -> Any:
            return output.present(commission_rows(list(found), now=now, with_office=self.with_money))

        return Response(page_of(found, request, rows))

    post = COMMISSION.makes(open_commission, CommissionIn, "Write down an inquiry; it gets its number.")


class CommissionView(View):
    """One order with its pieces, their routes, its papers and its money."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[UnitsIn], responses=CommissionOut)
    def get(self, request: Request, commission: str) -> Response:
        """One commission."""
        self.use_units(self.query(UnitsIn))
        return Response(show(self, commission))

    patch = COMMISSION.changes(
        change_commission, CommissionChangeIn, "Change title, notes, enquiry or promise date."
    )


class CommissionEventsView(View):
    """The events of a commission."""

    permission_classes = (Worker,)

    @extend_schema(responses=ToldOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every event of a commission in its order: what, where, who, when."""
        number = lookups.commission(commission).number
        return Response(output.present(told(number, with_money=self.with_money)))


def line_of(line: dict[str, Any], usual: UsualTax) -> Line:
    """Return a line; without a word on tax it is exempt while the client is, else at the shop's rate."""
    if not {"tax_category", "tax_pct"} & set(line):
        return Line(**{**usual.line(), **line})
    line = {"with_tax": usual.with_tax, **line}
    if "tax_pct" not in line and line.get("tax_category", "S") == "S":
        line["tax_pct"] = Decimal(settings()["tax_pct"])
    return Line(**line)


def _lines(commission: str, lines: list[dict[str, Any]]) -> list[Line]:
    usual = usual_tax(lookups.commission(commission), timezone.localdate())
    return [line_of(line, usual) for line in lines]


def _set_price(call: CommandContext, *, commission: str, lines: list[dict[str, Any]]) -> CommandResult:
    return set_price(call, commission=commission, lines=_lines(commission, lines))


def _accept_order(call: CommandContext, *, commission: str, **asked: Any) -> CommandResult:
    if "lines" in asked:
        asked["lines"] = _lines(commission, asked["lines"])
    return accept_order(call, commission=commission, **asked)


def _record_payment(
    call: CommandContext, *, allocated: Sequence[dict[str, Any]] = (), **asked: Any
) -> CommandResult:
    return record_payment(call, allocated=[Share(**share) for share in allocated], **asked)


ACCEPT = COMMISSION.changes(
    _accept_order, AcceptOrderIn, "Accept an order without a quote, with its price and promised day."
)
PRICE = COMMISSION.changes(_set_price, PriceIn, "Set the price, line by line; replaces the lines there were.")
OWNERS = {
    "take-back": COMMISSION.changes(
        take_back_acceptance, TakeBackIn,
        "Take an acceptance back while no stage, paper or payment rests on it.",
    ),
    "move": COMMISSION.changes(
        move_commission, MoveIn,
        "Mark a commission quoted, accepted (once it has price and day), declined or cancelled.",
    ),
    "reopen": COMMISSION.changes(
        reopen_commission, ReopenIn, "Reopen a closed commission: it is delivered again."
    ),
    "payments": COMMISSION.makes(
        _record_payment, PaymentIn, "Record money received: a deposit before the invoice, or a payment."
    ),
}  # fmt: skip
ROUTES = [
    view_route("commissions/", "commissions", CommissionsView),
    view_route(PLACE, "commission", CommissionView),
    view_route(f"{PLACE}events/", "commission-events", CommissionEventsView),
    route(f"{PLACE}accept/", "accept-order", Owner, post=ACCEPT),
    route(f"{PLACE}price/", "price", Owner, put=PRICE),
    *command_routes(PLACE, Owner, OWNERS),
]
