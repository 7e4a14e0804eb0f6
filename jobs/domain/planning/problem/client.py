"""What the plan waits for from clients: answers, deposits, days on which they take nothing, agreed dates."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from jobs.domain.billing.balances import accounts
from jobs.domain.clients.approvals import with_the_client
from jobs.domain.planning.problem.axis import Axis, day_span
from jobs.domain.planning.problem.people import span_of
from jobs.domain.routes.approvals import GATES
from jobs.domain.settings import settings
from jobs.domain.waits.route import RouteState
from jobs.domain.working_time.open_hours import blackouts
from jobs.models import Appointment, Commission, Paper, Stage

ANSWER = timedelta(days=5)
"""Days in which a client answers, pays a deposit or accepts: common practice, no source."""
LATE_ANSWER = timedelta(days=1)
"""Time until the answer of a client who takes longer: common practice, no source."""
DEPOSIT = "deposit-received"
"""The rule of gates that wait for a deposit."""
STAGE_OF = {Appointment.Kind.SITE_VISIT: "survey", Appointment.Kind.WOOD: "stock"}
"""The kind of stage that an agreed date is for."""


@dataclass(kw_only=True)
class ClientDates:
    """What is known of clients: when each answers, and the agreed dates of their commissions."""

    accepts: dict[str, datetime] = field(default_factory=dict)
    approves: dict[tuple[str, str], datetime] = field(default_factory=dict)
    pays: dict[str, datetime] = field(default_factory=dict)
    closed: Mapping[str, Sequence[tuple[date, date]]] = field(default_factory=dict)
    agreed: dict[tuple[str, str], Appointment] = field(default_factory=dict)
    deliveries: dict[str, Appointment] = field(default_factory=dict)

    def answer_for(self, stage: Stage, number: str, piece: str) -> datetime | None:
        """Return when the client will have answered for a stage; None where it waits for no client."""
        found = [self.accepts.get(number)]
        for gate in stage.spec["gates"]:
            if gate.get("rule") == DEPOSIT:
                found.append(self.pays.get(number))
            if gate["key"] in GATES:
                found.append(self.approves.get((piece, GATES[gate["key"]])))
        return max((each for each in found if each), default=None)

    def date_of(self, stage: Stage, number: str) -> datetime | None:
        """Return the end of the agreed date that a stage is for; None without one."""
        agreed = self.agreed.get((number, str(stage.spec["template_key"])))
        return span_of(agreed)[1] if agreed else None

    def shut(self, number: str, axis: Axis) -> int:
        """Return the slots in which the client of a commission takes nothing."""
        return axis.touched([day_span(first, last) for first, last in self.closed.get(number, ())])


def client_dates(
    commissions: Sequence[Commission],
    routes: Iterable[RouteState],
    dates: Iterable[Appointment],
    now: datetime,
) -> ClientDates:
    """Return what is known of the clients of these commissions; the pieces have the ``ASKED_COLUMNS``."""
    found = ClientDates(closed=blackouts([one.number for one in commissions]))
    for one in commissions:
        if one.step in Commission.UNDECIDED:
            found.accepts[one.number] = answer(one.step_at, now)
    for piece, what, since in with_the_client(routes):
        found.approves[piece.number, what] = answer(since, now)
    _deposits(found, commissions, now)
    for date_ in dates:
        if date_.commission is None:
            continue
        if date_.kind == Appointment.Kind.DELIVERY:
            found.deliveries.setdefault(date_.commission.number, date_)
        elif date_.kind in STAGE_OF:
            found.agreed[date_.commission.number, STAGE_OF[Appointment.Kind(date_.kind)]] = date_
    return found


def answer(since: datetime, now: datetime) -> datetime:
    """Return when a client who was asked at a moment answers, as the plan assumes."""
    return max(since + ANSWER, now + LATE_ANSWER)


def _deposits(found: ClientDates, commissions: Sequence[Commission], now: datetime) -> None:
    if settings()["deposit_before_wood"] == "no":
        return
    held = accounts(commissions)
    for one in commissions:
        account = held[one.id]
        if account.deposit_open:
            asked = [
                bill.paper.issued_at for bill in account.open_invoices if bill.paper.what == Paper.DEPOSIT
            ]
            found.pays[one.number] = answer(max(asked), now)
