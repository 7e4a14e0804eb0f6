"""More steps of the demo shop: stock, quotes sent, pictures and notes, dates, who does what."""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from calcs.kit.length_reading import parse_length
from calcs.kit.rounding import places
from calcs.lumber.board_footage import board_feet
from jobs.core.units import Units
from jobs.domain.billing import orders, payments, prices
from jobs.domain.billing.balances import account
from jobs.domain.books.costs import add_cost
from jobs.domain.clients.updates import ask_shop, client_actor, tell_client
from jobs.domain.notes.commands import write_note
from jobs.domain.notes.pictures import picture_commission, take_picture
from jobs.domain.planning.appointments import set_appointment
from jobs.domain.planning.assignments import give_stage
from jobs.domain.quoting.quotes import draft_quote
from jobs.domain.quoting.sending import send_offer
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.stock.boards import add_board, reserve_board, use_board
from jobs.domain.stock.supplies import add_supply, price_supply, set_level
from jobs.domain.working_time.commands import set_day_off, set_working_hours
from jobs.domain.working_time.promises import set_blackout, set_promise_weight
from jobs.log.commands import CommandContext, CommandResult
from jobs.management.demo_pictures import picture
from jobs.models import Client, Commission

INCHES = Units(length="in", temperature="F")
Given = dict[str, Any]


def actor(by: Any, people: Mapping[str, str]) -> str:
    """Return the id of somebody who works here by the name in the story, or the actor of a client."""
    return people[by] if by in people else client_actor(Client.objects.get(id=by))


def _day(call: CommandContext, days: int) -> date:
    return call.day + timedelta(days=days)


def _boards(call: CommandContext, given: Given) -> CommandResult:
    """Add a board for each "width x length" at a price by the board foot; return what the last one made."""
    sides, each = [one.split(" x ") for one in given.pop("sides")], Decimal(given.pop("a_foot"))
    done = []
    for width, length in sides:
        price = places(each * _feet(given["thickness"], width, length), 2)
        done.append(
            add_board(call, **given, width=width, length=length, units=INCHES, price=f"{price:f}")
        )  # fmt: skip
    return done[-1]


def _feet(*sides: str) -> Decimal:
    thick, wide, long = (parse_length(side, unit="in", field="side").units for side in sides)
    return board_feet(thickness_len=thick, width_len=wide, length_len=long)


def _to_piece(
    command: Callable[..., CommandResult],
) -> Callable[[CommandContext, Given], CommandResult]:  # fmt: skip
    """Return a command on so many boards of the rack, the last of them named."""

    def act(call: CommandContext, given: Given) -> CommandResult:
        last, count = given["board"], given["count"]
        numbers = range(last - count + 1, last + 1)
        return [command(call, board=number, piece=given["piece"]) for number in numbers][-1]

    return act


def _supply(call: CommandContext, given: Given) -> CommandResult:
    got_on = _day(call, -given.pop("got_days_ago"))
    use_by = given.pop("use_by_days", None)
    best = None if use_by is None else _day(call, use_by)
    return add_supply(call, **given, got_on=got_on, use_by=best)


def _cost(call: CommandContext, given: Given) -> CommandResult:
    return add_cost(call, **{**given, "net": Decimal(given["net"])}, day=_day(call, 0))


def line(*, unit_price: str, quantity: str = "1", tax_pct: str = "0", **words: Any) -> prices.Line:
    """Return a line of a price as the story writes it."""
    return prices.Line(
        unit_price=Decimal(unit_price), quantity=Decimal(quantity), tax_pct=Decimal(tax_pct), **words
    )


def _quote(call: CommandContext, given: Given) -> CommandResult:
    lines = [line(**one) for one in given["lines"]]
    return draft_quote(call, commission=given["commission"], lines=lines)


def _accept(call: CommandContext, given: Given) -> CommandResult:
    return orders.accept_order(
        call, commission=given["commission"], price=Decimal(given["price"]),
        deposit_pct=Decimal(given["deposit_pct"]),
    )  # fmt: skip


def _deposit(call: CommandContext, given: Given) -> CommandResult:
    found = Commission.objects.get(number=given["commission"])
    return payments.record_payment(
        call, commission=found.number, amount=account(found).deposit_open, what="deposit",
        method="transfer", received_on=_day(call, 0),
    )  # fmt: skip


def _with_scene(command: Callable[..., CommandResult]) -> Callable[[CommandContext, Given], CommandResult]:
    """Return a command whose picture is drawn by the name of its scene."""

    def act(call: CommandContext, given: Given) -> CommandResult:
        scene = given.pop("scene")
        return command(call, **given, picture=picture(scene))

    return act


def _date(call: CommandContext, given: Given) -> CommandResult:
    day = _workday(_day(call, given.pop("in_days")))
    return set_appointment(call, **given, day=day, anyway=True)


def _workday(day: date) -> date:
    """Return the day, or the Monday after a weekend."""
    while day.weekday() > FRIDAY:
        day += timedelta(days=1)
    return day


def _days_off(call: CommandContext, given: Given) -> CommandResult:
    """Set days off some days from now, or from one day of a month on, the next that comes."""
    if "from" in given:
        first = _next(given.pop("from"), _day(call, 0))
        last = _next(given.pop("to"), first)
    else:
        first = last = _workday(_day(call, given.pop("in_days")))
    return set_day_off(call, **given, first=first, last=last)


def _client_days(call: CommandContext, given: Given) -> CommandResult:
    first = _day(call, given.pop("in_days"))
    last = first + timedelta(days=given.pop("days") - 1)
    return set_blackout(call, **given, first=first, last=last)


def _next(month_day: str, after: date) -> date:
    """Return the first day from ``after`` on with this month and day, such as 12-24."""
    month, day = map(int, month_day.split("-"))
    here = date(after.year, month, day)
    return here if here >= after else date(after.year + 1, month, day)


FRIDAY = 4
MORE: dict[str, Callable[[CommandContext, Given], CommandResult]] = {
    "add_equipment": lambda call, given: add_equipment(call, **given, units=INCHES),
    "add_boards": _boards,
    "reserve_boards": _to_piece(reserve_board),
    "use_boards": _to_piece(use_board),
    "add_supply": _supply,
    "price_supply": lambda call, given: price_supply(call, **given),
    "add_cost": _cost,
    "set_level": lambda call, given: set_level(call, **given),
    "draft_quote": _quote,
    "send_offer": lambda call, given: send_offer(call, **given),
    "accept_order": _accept,
    "take_deposit": _deposit,
    "write_note": _with_scene(write_note),
    "take_picture": _with_scene(take_picture),
    "picture_commission": _with_scene(picture_commission),
    "tell_client": lambda call, given: tell_client(call, **given),
    "ask_shop": lambda call, given: ask_shop(call, **given),
    "set_appointment": _date,
    "set_working_hours": lambda call, given: set_working_hours(call, **given),
    "set_day_off": _days_off,
    "set_blackout": _client_days,
    "set_promise_weight": lambda call, given: set_promise_weight(call, **given),
    "give_stage": lambda call, given: give_stage(call, **given),
}
"""Each step by its name."""
