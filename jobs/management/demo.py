"""The demo shop: commands stored by working day and local time, played into an empty log.

Day 0 is the last working day on which every step of the story lies in the past. A step may also be a number
of minutes ago. Each step runs the command that a person would run, with the clock set to its moment.
"""

import tomllib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain.billing import invoice_commands, payments, prices
from jobs.domain.clients import commands as clients_commands
from jobs.domain.climate.readings import take_readings
from jobs.domain.commissions import commissions, piece_commands
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.stages import commands as stages_commands
from jobs.domain.workshop import commands as workshop_commands
from jobs.domain.workshop.demo import BEGUN
from jobs.log.commands import CommandContext, CommandResult
from jobs.management.demo_air import two_weeks
from jobs.management.demo_more import MORE, actor, line
from jobs.management.demo_past import play_past
from jobs.models import Client, Event
from jobs.models.bases import row_key

FIXTURES = Path(settings.BASE_DIR) / "fixtures"
STORY = (FIXTURES / "demo.toml", FIXTURES / "demo_shop.toml")
SATURDAY = 5
ROWS = ("supply_added", "picture_taken")
"""Kinds of event whose row a later step names."""
SET_UP = -300
"""Steps of this day and before set the shop up; its closed orders follow them."""

Step = Mapping[str, Any]


def load_story(paths: Sequence[Path] = STORY) -> list[dict[str, Any]]:
    """Return the steps of these files; a "stage" step becomes its start and, with minutes, its finish."""
    steps: list[dict[str, Any]] = []
    for path in paths:
        steps += tomllib.loads(path.read_text("utf-8"))["step"]
    return [single for step in steps for single in (_halves(step) if step["do"] == "stage" else [step])]


def _halves(step: dict[str, Any]) -> list[dict[str, Any]]:
    given = step["with"]
    where = {k: given[k] for k in ("piece", "stage", "unit") if k in given}
    start = {**where, "measured": given.get("start", {}), "override": given.get("override", {})}
    halves = [{**step, "do": "start_stage", "with": start}]
    if "minutes" in given:
        finish = {**where, "measured": given.get("finish", {}), "minutes": given["minutes"]}
        halves.append({**step, "do": "finish_stage", "with": finish, "later_min": given["minutes"]})
    return halves


def play(
    steps: list[dict[str, Any]],
    *,
    now: datetime,
    people: Mapping[str, str],
    past: Sequence[Mapping[str, Any]] = (),
) -> int:
    """Play a story into an empty log; return the number of events. ``people`` maps names to actor ids.

    ``past`` are orders that are closed, played once the shop is set up.
    """
    if Event.objects.exclude(kind=BEGUN).exists():
        raise Invalid("the log is not empty", field="demo", value="", allowed="an empty log")
    zero = _day_zero(steps, now)
    names: dict[str, Any] = {}
    behind = list(past)
    for step in sorted(steps, key=lambda s: _moment(zero, s, now)):
        if behind and step.get("day", 0) > SET_UP:
            play_past(behind, now=now, people=people)
            behind = []
        at = _moment(zero, step, now)
        by = _resolved(step.get("by", "owner"), names)
        call = CommandContext(by=actor(by, people), at=at, now=at)
        given = {**_resolved(step["with"], names)}
        given |= {name: people[given[name]] for name in ("person", "who") if name in given}
        done = {**VERBS, **MORE}[step["do"]](call, given)
        if "as" in step:
            names[step["as"]] = _made(done)
    take_readings(two_weeks(now), source=people["owner"], temperature_unit="C", now=now)
    return Event.objects.count()


def _day_zero(steps: list[dict[str, Any]], now: datetime) -> date:
    day = timezone.localtime(now).date()
    while day.weekday() >= SATURDAY or max(_moment(day, s, now) for s in steps) > now:
        day -= timedelta(days=1)
    return day


def _moment(zero: date, step: Step, now: datetime) -> datetime:
    """Return the moment of a step: working days before day 0 at a local time, or minutes ago."""
    later = timedelta(minutes=step.get("later_min", 0))
    if "ago_min" in step:
        return now - timedelta(minutes=step["ago_min"]) + later
    day, left = zero, -step["day"]
    while left:
        day -= timedelta(days=1)
        left -= day.weekday() < SATURDAY
    local = timezone.make_aware(datetime.combine(day, time.fromisoformat(step["at"])))
    return local + later


def _start(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    units = _units(given)
    given.pop("unit", None)
    return stages_commands.start_stage(call, **given, units=units)


def _finish(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    units = _units(given)
    given.pop("unit", None)
    return stages_commands.finish_stage(call, **given, units=units)


def _units(given: Mapping[str, Any]) -> Units:
    return Units(length=given.get("unit", "in"), temperature="C" if given.get("unit") == "mm" else "F")


def _piece(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    asked = {k: v for k, v in given.items() if k not in ("commission", "unit")}
    return piece_commands.add_piece(call, commission=given["commission"], units=_units(given), asked=asked)


def _price(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    lines = [line(**one) for one in given["lines"]]
    return prices.set_price(call, commission=given["commission"], lines=lines)


def _payment(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    received_on = call.day
    return payments.record_payment(
        call, **{**given, "amount": Decimal(given["amount"])}, received_on=received_on
    )


def _open(call: CommandContext, given: dict[str, Any]) -> CommandResult:
    today = call.day
    promised, wanted = (given.pop(name, None) for name in ("promise_in_days", "wanted_in_days"))
    if "budget" in given:
        given["budget"] = Decimal(given["budget"])
    return commissions.open_commission(
        call,
        **given,
        promise_on=None if promised is None else today + timedelta(days=promised),
        wanted_on=None if wanted is None else today + timedelta(days=wanted),
    )


VERBS: dict[str, Callable[[CommandContext, dict[str, Any]], CommandResult]] = {
    "start_stage": _start,
    "finish_stage": _finish,
    "set_shop": lambda call, given: workshop_commands.set_shop(call, **given),
    "set_sheet": lambda call, given: workshop_commands.set_sheet(call, **given),
    "add_client": lambda call, given: clients_commands.add_client(call, **given),
    "open_commission": _open,
    "move_commission": lambda call, given: commissions.move_commission(call, **given),
    "set_price": _price,
    "add_piece": _piece,
    "record_payment": _payment,
    "issue_paper": lambda call, given: issue_work_paper(call, **given),
    "issue_invoice": lambda call, given: invoice_commands.issue_invoice(call, **given),
}


def _resolved(value: Any, names: Mapping[str, Any]) -> Any:
    """Replace each ``$name`` by what an earlier step made."""
    if isinstance(value, str) and value.startswith("$"):
        return names[value[1:]]
    if isinstance(value, dict):
        return {k: _resolved(v, names) for k, v in value.items()}
    if isinstance(value, list):
        return [_resolved(v, names) for v in value]
    return value


def _made(done: CommandResult) -> Any:
    """Return what a step made: a client's id, or the number of a commission or piece."""
    first = done.events[0]
    if first.kind == "client_added":
        return Client.objects.get(id=row_key(first.seq)).id
    if first.kind in ROWS:
        return row_key(first.seq)
    if first.kind == "offer_drafted":
        return first.data["offer"]
    return first.data.get("piece") or first.data.get("number") or first.data.get("board")
