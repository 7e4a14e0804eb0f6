"""The closed orders of the demo shop, each worked through its route from enquiry to payment."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from jobs.core.units import Units
from jobs.domain.billing import invoice_commands, orders, payments
from jobs.domain.billing.balances import account
from jobs.domain.books.costs import add_cost
from jobs.domain.clients import commands as clients_commands
from jobs.domain.commissions import commissions, piece_commands
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.stages.commands import do_stage
from jobs.domain.waits.route import RouteState, times_of
from jobs.log.commands import CommandContext
from jobs.models import Commission, Paper, Piece, Stage
from jobs.models.bases import row_key

PAST = Path(settings.BASE_DIR) / "fixtures" / "demo_past.toml"
INCHES = Units(length="in", temperature="F")
OPENS, SHUTS, SATURDAY = 8, 17, 5
PRODUCTS = {"glue": "slow-wood-glue", "finish_face": "house-water-borne"}
DEPOSIT_PCT = Decimal(50)
USUAL_MIN = {
    "survey": 55, "stock": 110, "rough-mill": 120, "final-mill": 80, "rip": 40, "layout": 20, "joinery": 50,
    "dry-fit": 12, "glue-up": 30, "scrape": 12, "clamps-off": 15, "rough-flatten": 70, "final-flatten": 60,
    "square-ends": 30, "edge-profile": 35, "sand": 130, "raise-grain": 8, "resand": 25, "final-check": 20,
    "wrap": 25, "deliver": 90,
}  # fmt: skip
"""Minutes of each stage on a top of fifteen square feet; another takes 15."""
ANY_MIN, USUAL_SQ_FT = 15, Decimal(15)
GOOD = {
    "moisture_mean": "7.4", "moisture_spread": "0.6", "moisture_change": "0.2", "dry_fit_time": "5",
    "joint_gap": "0 mm", "bench_wind": "1/64 in", "shop_temperature": "67 F", "humidity": "46",
    "glue_lot": "SW-2211", "flatness": "1/32 in", "square": "1/32 in", "client_humidity": "45",
    "recess_room": "1/4",
}  # fmt: skip
"""What a good top measures; every other gate is answered yes."""
REASONS = {"clampings": "the dry fit closed in time", "edges_fresh": "jointed again with a light pass"}
MONEY = ("paid", "close")
"""Stages that end by themselves once the order is paid."""
Job = Iterator[datetime]


def past_orders(path: Path = PAST) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(path.read_text("utf-8"))["order"]
    return found


def play_past(orders_: Sequence[Mapping[str, Any]], *, now: datetime, people: Mapping[str, str]) -> None:
    """Play every order side by side: the one whose next step comes first goes on."""
    running = {n: _worked(order, now, people) for n, order in enumerate(orders_)}
    due = {n: next(job) for n, job in running.items()}
    while due:
        n = min(due, key=lambda one: (due[one], one))
        try:
            due[n] = next(running[n])
        except StopIteration:
            del due[n]


def _worked(order: Mapping[str, Any], now: datetime, people: Mapping[str, str]) -> Job:
    """Yield the moment of each step before it is done: enquiry, acceptance, stages, delivery, payment."""
    at = _open_time(now - timedelta(days=order["ago_d"]))
    yield at
    who = {"owner": people["owner"], "maker": people[order["who"]]}

    def call(at: datetime, by: str = "owner") -> CommandContext:
        return CommandContext(by=who[by], at=at, now=at)

    made = clients_commands.add_client(call(at), **order["client"])
    client = row_key(made.events[0].seq)
    opened = commissions.open_commission(call(at), client=client, title=order["title"])
    number = opened.events[0].data["number"]
    piece = piece_commands.add_piece(
        call(at), commission=number, units=INCHES, asked={**PRODUCTS, **order["piece"]}
    ).events[0].data["piece"]  # fmt: skip
    at = _open_time(at + timedelta(days=3))
    yield at
    promised = timezone.localtime(at).date() + timedelta(days=75)
    price = Decimal(order["price"])
    orders.accept_order(
        call(at), commission=number, price=price, promise_on=promised, deposit_pct=DEPOSIT_PCT
    )
    at = _open_time(at + timedelta(days=2))
    yield at
    payments.record_payment(
        call(at), commission=number, amount=account(Commission.objects.get(number=number)).deposit_open,
        what="deposit", method="transfer", received_on=timezone.localtime(at).date(),
    )  # fmt: skip
    for kind, what, net in order.get("bought", ()):
        add_cost(
            call(at), commission=number, kind=kind, what=what, net=Decimal(net),
            day=timezone.localtime(at).date(),
        )  # fmt: skip
    while (found := _next_stage(piece)) is not None:
        stage, ready, closes = found
        at = max(at, ready or at)
        at = at if closes and _open_time(at) >= closes else _open_time(at)
        yield at
        if stage.key == "deliver":
            issue_work_paper(call(at), commission=number, kind=Paper.CHECKLIST)
        minutes = _minutes(stage, order)
        do_stage(
            call(at, "owner" if stage.spec["owner_only"] else "maker"),
            piece=piece, stage=stage.key, units=INCHES, minutes=minutes, measured=_measured(stage, piece),
            override={g["key"]: REASONS[g["key"]] for g in stage.spec["gates"] if g["key"] in REASONS},
        )  # fmt: skip
        at += timedelta(minutes=minutes)
    at = _open_time(at + timedelta(hours=2))
    yield at
    invoice_commands.issue_invoice(call(at), commission=number)
    at = _open_time(at + timedelta(days=6))
    yield at
    owed = account(Commission.objects.get(number=number)).owed
    payments.record_payment(
        call(at), commission=number, amount=owed, method="transfer",
        received_on=timezone.localtime(at).date(),
    )  # fmt: skip


def _next_stage(number: str) -> tuple[Stage, datetime | None, datetime | None] | None:
    """Return the next stage by hand up to the delivery, when its waits let it begin, and until when."""
    route = RouteState(Piece.objects.get(number=number))
    for stage in route.stages:
        if (
            stage.step == Stage.Step.PLANNED
            and not stage.spec["passive"]
            and stage.key not in ("paid", "close")
        ):
            held = [times_of(wait) for wait in route.holding(stage)]
            passive = [times_of(wait)[0] for wait in route.waits if wait.stage.spec["passive"]]
            opens = [*(opens for opens, _closes in held), *passive]
            closes = [closes for _opens, closes in held if closes]
            return stage, max((at for at in opens if at), default=None), min(closes, default=None)
    return None


def _minutes(stage: Stage, order: Mapping[str, Any]) -> int:
    """Return the minutes of a stage by the size of the top and the pace of the order."""
    length, width = (Decimal(order["piece"][side]) for side in ("length", "width"))
    size = (length * width / 144 / USUAL_SQ_FT).sqrt()
    kind = stage.spec.get("template_key", stage.key)
    usual = next((m for key, m in USUAL_MIN.items() if kind.startswith(key)), ANY_MIN)
    return max(3, round(usual * size * Decimal(str(order["pace"]))))


def _measured(stage: Stage, number: str) -> dict[str, str]:
    thick_mm = Decimal(Piece.objects.get(number=number).inputs["thickness_len"]) / 8000
    good = GOOD | {
        "milled_thickness": f"{thick_mm + 4} mm", "final_thickness": f"{thick_mm + Decimal('0.4')} mm",
    }  # fmt: skip
    return {g["key"]: good.get(g["key"], "yes") for g in stage.spec["gates"] if "unit" in g}


def _open_time(at: datetime) -> datetime:
    """Return the moment, or the next one at which the shop is open."""
    local = timezone.localtime(at)
    if local.hour >= SHUTS:
        local = (local + timedelta(days=1)).replace(hour=OPENS, minute=10, second=0, microsecond=0)
    if local.hour < OPENS:
        local = local.replace(hour=OPENS, minute=10, second=0, microsecond=0)
    while local.weekday() >= SATURDAY:
        local = (local + timedelta(days=1)).replace(hour=OPENS, minute=10)
    return local
