"""A small shop for tests: people, calls, quick product sheets, and a driver that works through a route.

These are plain functions to call inside a test that has the database. Times are injected; nothing waits.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from jobs.core.units import Units
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.clients.commands import add_client
from jobs.domain.climate.readings import Taken, take_readings, void_reading
from jobs.domain.commissions.commissions import open_commission
from jobs.domain.commissions.piece_commands import add_piece
from jobs.domain.lifecycle import move
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.reminders.projection import estimate_clocked
from jobs.domain.stages.commands import finish_stage, start_stage
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import start_passive_stages
from jobs.domain.workshop.accounts import add_person
from jobs.domain.workshop.commands import set_sheet
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command
from jobs.log.projectors import Turn, refill
from jobs.models import Client, Commission, Paper, Person, Piece, Stage
from jobs.models.people import Role
from tests.kept_work import once

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
INCHES = Units()
T = TypeVar("T")
PASSWORD = "seven-oak-boards"
QUICK_GLUE: dict[str, Any] = {
    "name": "Quick test glue", "family": "pva", "water_based": True, "open_s": 600, "closed_s": 900,
    "scrape_from_s": 1, "scrape_to_s": 3600, "unclamp_s": 2, "machine_s": 3, "surface_s": 4, "full_s": 5,
    "ref_temp_c": "20", "min_temp_c": "10", "max_temp_c": "30", "spread_g_m2": "200",
}  # fmt: skip
QUICK_FINISH: dict[str, Any] = {
    "name": "Quick test finish", "family": "water-borne", "water_borne": True, "self_heating": False,
    "film": True, "touch_dry_s": 1, "recoat_from_s": 2, "light_use_s": 3, "full_s": 4, "ref_temp_c": "20",
    "min_temp_c": "10", "max_temp_c": "30", "rh_max_pct": "70", "coverage_m2_per_l": "10",
    "sealing_coats": 1, "build_coats": 1,
}  # fmt: skip
QUICK_OIL: dict[str, Any] = QUICK_FINISH | {
    "name": "Quick test oil", "family": "hard-wax-oil", "water_borne": False, "self_heating": True,
    "film": False,
}  # fmt: skip
QUICK = {"glue": "quick-glue", "finish_face": "quick-finish"}
"""For ``a_piece``: the products of ``quick_sheets``."""
TOP: dict[str, Any] = {
    "label": "Desk top", "length": "60", "width": "30", "thickness": "1 1/2", "species": "black walnut",
}  # fmt: skip
ROUTES = Path(__file__).parent / "routes"
"""A folder for ``settings.ROUTES_DIR``: the route ``short`` has every kind of stage, gate and wait."""
SHORT = {**TOP, **QUICK, "route": "short"}
"""For ``a_piece``: a top on the short route, once ``quick_sheets`` has run."""
GOOD: dict[str, str] = {
    "moisture_mean": "7", "moisture_spread": "0.5", "moisture_change": "0.2", "milled_thickness": "45 mm",
    "dry_fit_time": "2", "joint_gap": "0 mm", "bench_wind": "1/64 in", "shop_temperature": "20 C",
    "glue_lot": "L-17", "flatness": "1/32 in", "final_thickness": "38.5 mm", "humidity": "45",
    "client_humidity": "45", "recess_room": "1/4", "square": "1/32 in",
}  # fmt: skip
"""Good measurements of a top of 1 1/2 or 1 3/4 in; every other gate is answered yes."""

IN_ONE_GO = {"clampings": "the dry fit was closed well within the open time"}
"""For the start of a glue-up that is computed as several clampings."""


def an_owner(username: str = "owner", **fields: object) -> Person:
    return _somebody(username, Role.OWNER, fields)


def a_maker(username: str = "maker", **fields: object) -> Person:
    return _somebody(username, Role.MAKER, fields)


def _somebody(username: str, role: Role, fields: dict[str, object]) -> Person:
    """Return a person with the same id in every test, so that the same rows come again (``kept_work``)."""
    key = ("somebody", username, role, tuple(sorted(fields.items())))
    once(key, lambda: _make(username, role, fields))
    return Person.objects.get(username=username)


def _make(username: str, role: Role, fields: dict[str, object]) -> None:
    person = add_person(username=username, password=PASSWORD, role=role, **fields)
    Person.objects.filter(id=person.id).update(id=f"person-{username}")
    refill(since=Turn.ESTIMATES)  # the schedule of reminders names the id


def a_call(by: Person | str, at: datetime = NOON, now: datetime | None = None, **more: Any) -> CommandContext:
    return CommandContext(by=by if isinstance(by, str) else by.id, at=at, now=now or at, **more)


def a_client(call: CommandContext, name: str = "Orla Fenwick", **more: str) -> Client:
    done = add_client(call, name=name, **more)
    return Client.objects.get(version=done.events[0].seq)


def a_commission(
    call: CommandContext, client: Client, title: str = "Desk by the window", **more: Any
) -> Commission:
    done = open_commission(call, client=client.id, title=title, **more)
    return Commission.objects.get(number=done.events[0].data["number"])


def a_piece(call: CommandContext, commission: Commission, **asked: Any) -> Piece:
    """Return a top of the usual size, or another piece with ``route``."""
    asked = asked if "route" in asked else TOP | asked
    done = add_piece(call, commission=commission.number, units=INCHES, asked=asked)
    return Piece.objects.get(number=done.events[0].data["piece"])


def quick_sheets(call: CommandContext) -> None:
    """Store a glue and two finishes with short waits: ``quick-glue``, ``quick-finish``, ``quick-oil``."""
    once(("quick sheets", call), lambda: _quick_sheets(call))


def _quick_sheets(call: CommandContext) -> None:
    set_sheet(call, kind="glue", key="quick-glue", data=QUICK_GLUE)
    set_sheet(call, kind="finish", key="quick-finish", data=QUICK_FINISH)
    set_sheet(call, kind="finish", key="quick-oil", data=QUICK_OIL)


@dataclass
class Work:
    """One person at work with an injected clock."""

    by: Person
    now: datetime = NOON

    def call(self, **more: Any) -> CommandContext:
        self.now += timedelta(seconds=1)
        return a_call(self.by, self.now, **more)

    def go(self, **span: float) -> None:
        self.now += timedelta(**span)

    def accepted(self, **asked: Any) -> Piece:
        """Return a piece of an accepted commission of a new client."""
        return Piece.objects.get(number=self.once("accepted", asked, lambda: self._accepted(asked)))

    def _accepted(self, asked: dict[str, Any]) -> str:
        commission = a_commission(self.call(), a_client(self.call()))
        piece = a_piece(self.call(), commission, **asked)
        accept_bare(self.call(), commission=commission.number)
        return piece.number

    def once(self, what: str, how: Any, do: Callable[[], T]) -> T:
        """Do it once in a process, see ``kept_work``; the clock moves as it did then."""

        def timed() -> tuple[T, datetime]:
            return do(), self.now

        found, self.now = once((type(self), what, repr(how), self.by.id, self.now), timed)
        return found

    def start(self, piece: Piece, stage: str, **more: Any) -> CommandResult:
        """Start a stage; override several clampings and air that is too damp with a reason."""
        found = Stage.objects.filter(piece__number=piece.number, key=stage).first()
        reasons = dict(IN_ONE_GO) if found and "gluing" in found.spec["calcs"] else {}
        if more.get("measured"):
            near = [gate["key"] for gate in (found.spec["gates"] if found else []) if "near" in gate]
            reasons |= {key: "the room is heated from tomorrow on" for key in near}
        if reasons:
            more["override"] = {**reasons, **(more.get("override") or {})}
        return start_stage(self.call(), piece=piece.number, stage=stage, units=INCHES, **more)

    def finish(self, piece: Piece, stage: str, **more: Any) -> CommandResult:
        return finish_stage(self.call(), piece=piece.number, stage=stage, units=INCHES, **more)

    def do(self, piece: Piece, *stages: str) -> None:
        """Wait until each stage can start, then start and finish it with good measurements.

        What waits for money, and what closes the order, may have ended by itself.
        """
        for key in stages:
            self.once("do", (piece.number, key), partial(self._do, piece, key))

    def _do(self, piece: Piece, key: str) -> None:
        if key in ("paid", "close") and stage_of(piece, key).step == Stage.Step.DONE:
            return
        self.wait_for(piece, key)
        self.start(piece, key, measured=good(piece, key, "start"))
        self.go(minutes=10)
        self.finish(piece, key, measured=good(piece, key, "finish"))

    def do_until(self, piece: Piece, last: str) -> None:
        """Do every stage that needs hands, in the order of the route, up to and including this one."""
        self.once("do until", (piece.number, last), lambda: self._do_until(piece, last))

    def _do_until(self, piece: Piece, last: str) -> None:
        for stage in piece.stages.order_by("position"):
            if not stage.spec["passive"] and stage_of(piece, stage.key).step == Stage.Step.PLANNED:
                self.do(piece, stage.key)
            if stage.key == last:
                return

    def wait_for(self, piece: Piece, key: str) -> None:
        """Let the clock run until every wait before this stage is over."""
        ready = [w.estimate.ready_at for w in RouteState(piece).holding(stage_of(piece, key))]
        self.now = max([self.now, *ready])


def stage_of(piece: Piece, key: str) -> Stage:
    return Stage.objects.get(piece__number=piece.number, key=key)


def good(piece: Piece, key: str, moment: str) -> dict[str, str]:
    """Return measurements that pass every gate of a stage at its start or finish."""
    gates: list[Mapping[str, Any]] = stage_of(piece, key).spec["gates"]
    measured = GOOD | _thick(piece)
    return {g["key"]: measured.get(g["key"], "yes") for g in gates if g["at"] == moment and "unit" in g}


def _thick(piece: Piece) -> dict[str, str]:
    """Return thicknesses as planed: four millimetres, then half a one, over the finished thickness."""
    finished = Decimal(piece.inputs.get("thickness_len") or 0) / 8000
    return {"milled_thickness": f"{finished + 4} mm", "final_thickness": f"{finished + Decimal('0.5')} mm"}


@command
def accept_bare(tx: CommandTransaction, *, commission: str) -> None:
    """Accept an order with neither price nor promised day, as old logs hold some."""
    found = Commission.objects.get(number=commission)
    move(tx, found, Commission.Step.ACCEPTED)
    for piece in found.pieces.order_by("number"):
        start_passive_stages(tx, piece)


def a_price(call: CommandContext, commission: Commission) -> None:
    """Set a price of 1000.00 before tax, 1100.00 with it."""
    lines = [Line(description="Top as drawn", unit_price=Decimal(1000), tax_pct=Decimal(10))]
    number = commission.number

    def price() -> None:
        set_price(call, commission=number, lines=lines)

    once(("price", call, number), price)


def two_wrapped(work: Work) -> tuple[Piece, Piece]:
    """Return two wrapped pieces of one commission on the short route; checklist issued, invoice paid."""
    first = work.accepted(**SHORT)
    second = a_piece(work.call(), first.commission, **SHORT)
    number = first.commission.number
    a_price(work.call(), first.commission)
    for piece in (first, second):
        work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=number)
    issue_invoice(work.call(), commission=number)
    record_payment(work.call(), commission=number, amount=Decimal(1100))
    return first, second


def issue_checklist(call: CommandContext, *, commission: str) -> CommandResult:
    return issue_work_paper(call, kind="delivery-checklist", commission=commission)


def issue_job_sheet(call: CommandContext, *, commission: str) -> CommandResult:
    return issue_work_paper(call, kind="job-sheet", commission=commission)


def issue_care_sheet(call: CommandContext, *, commission: str) -> CommandResult:
    return issue_work_paper(call, kind="care-sheet", commission=commission)


def the_paper(done: CommandResult) -> Paper:
    """Return the paper that a command issued."""
    return Paper.objects.get(number=done.events[-1].data["paper"])


def measured(entries: Sequence[Mapping[str, Any]], **more: Any) -> Taken:
    """Take readings in, and let the estimates follow that the worker is asked for."""
    taken = take_readings(entries, **more)
    estimate_clocked()
    return taken


def voided(reading: int, **more: Any) -> None:
    """Void a reading, and let the estimates follow."""
    void_reading(reading, **more)
    estimate_clocked()
