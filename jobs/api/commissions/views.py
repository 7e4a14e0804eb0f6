"""Commissions: open, change, move, price, payments."""

from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.commissions.serializers import (
    AcceptOrderIn,
    CommissionChangeIn,
    CommissionDone,
    CommissionIn,
    CommissionOut,
    CommissionPage,
    CommissionsIn,
    MoveIn,
    PaymentIn,
    PriceIn,
    TakeBackIn,
)
from jobs.api.kit import output
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.view_bases import View
from jobs.api.service.history_serializers import ToldOut
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.orders import accept_order, take_back_acceptance
from jobs.domain.billing.payments import Share, record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.commissions.commissions import change_commission, move_commission, open_commission
from jobs.domain.overviews.bench import LIVE
from jobs.domain.overviews.commission import commission_rows, commission_view
from jobs.domain.settings import settings
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.history import told
from jobs.models import Commission


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

    @extend_schema(request=CommissionIn, responses={200: CommissionDone, 201: CommissionDone})
    def post(self, request: Request) -> Response:
        """Take down an enquiry; it gets its number."""
        asked = self.body(CommissionIn)
        call, units = self.call(asked), self.units(asked)
        done = open_commission(call, **asked)
        number = done.events[0].data["number"]
        return self.done(
            done, "commission", lambda: shown(self, number, units), location=f"{request.path}{number}/"
        )


class CommissionView(View):
    """One order with its pieces, their routes, its papers and its money."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[UnitsIn], responses=CommissionOut)
    def get(self, request: Request, commission: str) -> Response:
        """One commission."""
        return Response(shown(self, commission, self.units(self.query(UnitsIn))))

    @extend_schema(request=CommissionChangeIn, responses=CommissionDone)
    def patch(self, request: Request, commission: str) -> Response:
        """Change title, notes or promise date."""
        return changed(self, CommissionChangeIn, change_commission, commission)


class MoveView(View):
    """The moves of a commission that a person decides."""

    permission_classes = (Owner,)

    @extend_schema(request=MoveIn, responses=CommissionDone)
    def post(self, request: Request, commission: str) -> Response:
        """Mark a commission quoted, accepted (once it has price and day), declined or cancelled."""
        return changed(self, MoveIn, move_commission, commission)


class AcceptOrderView(View):
    """An order that had no quote."""

    permission_classes = (Owner,)

    @extend_schema(request=AcceptOrderIn, responses=CommissionDone)
    def post(self, request: Request, commission: str) -> Response:
        """Accept an order without a quote, with its price and promised day."""
        return changed(self, AcceptOrderIn, _accept_order, commission)


class TakeBackView(View):
    """An acceptance that was a mistake."""

    permission_classes = (Owner,)

    @extend_schema(request=TakeBackIn, responses=CommissionDone)
    def post(self, request: Request, commission: str) -> Response:
        """Take an acceptance back while no stage, paper or payment rests on it."""
        return changed(self, TakeBackIn, take_back_acceptance, commission)


class PriceView(View):
    """What the client pays."""

    permission_classes = (Owner,)

    @extend_schema(request=PriceIn, responses=CommissionDone)
    def put(self, request: Request, commission: str) -> Response:
        """Set the price, line by line; replaces the lines there were."""
        return changed(self, PriceIn, _set_price, commission)


class PaymentsView(View):
    """Money received."""

    permission_classes = (Owner,)

    @extend_schema(request=PaymentIn, responses={200: CommissionDone, 201: CommissionDone})
    def post(self, request: Request, commission: str) -> Response:
        """Record money received: a deposit before the invoice, or a payment."""
        return changed(
            self,
            PaymentIn,
            _record_payment,
            commission,
            location=reverse("api:commission", args=[commission]),
        )


class CommissionEventsView(View):
    """What happened on a commission."""

    permission_classes = (Worker,)

    @extend_schema(responses=ToldOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every event of a commission in its order: what, where, who, when."""
        number = lookups.commission(commission).number
        return Response(output.present(told(number, with_money=self.with_money)))


def changed(
    view: View,
    shape: type[UnitsIn],
    verb: Callable[..., CommandResult],
    commission: str,
    *,
    location: str | None = None,
) -> Response:
    """Read the body by its shape, carry out the verb, answer with the commission."""
    asked = view.body(shape)
    call, units = view.call(asked), view.units(asked)
    done = verb(call, commission=commission, **asked)
    return view.done(done, "commission", lambda: shown(view, commission, units), location=location)


def shown(view: View, number: str, units: Units) -> dict[str, Any]:
    found = lookups.commission(number)
    seen = commission_view(found, now=timezone.now(), with_money=view.with_money, units=units)
    return output.commission(seen)


def _set_price(call: CommandContext, *, commission: str, lines: list[dict[str, Any]]) -> CommandResult:
    return set_price(call, commission=commission, lines=_lines(commission, lines))


def _accept_order(call: CommandContext, *, commission: str, **asked: Any) -> CommandResult:
    if "lines" in asked:
        asked["lines"] = _lines(commission, asked["lines"])
    return accept_order(call, commission=commission, **asked)


def _lines(commission: str, lines: list[dict[str, Any]]) -> list[Line]:
    exempt = lookups.commission(commission).client.exempt_ref is not None
    return [line_of(line, exempt=exempt) for line in lines]


def _record_payment(
    call: CommandContext, *, allocated: Sequence[dict[str, Any]] = (), **asked: Any
) -> CommandResult:
    return record_payment(call, allocated=[Share(**share) for share in allocated], **asked)


def line_of(line: dict[str, Any], *, exempt: bool) -> Line:
    """A line; one that says nothing of tax is exempt where the client is, else takes the shop's rate."""
    if exempt and not {"tax_category", "tax_pct"} & set(line):
        return Line(**line, tax_category="E")
    if "tax_pct" not in line and line.get("tax_category", "S") == "S":
        line = {**line, "tax_pct": Decimal(settings()["tax_pct"])}
    return Line(**line)
