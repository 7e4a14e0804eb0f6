"""Labour rates from the shop's log: minutes of a kind of stage per piece, joint or square foot.

A job is a commission: its pieces are made on the same days by the same hands. A job counts for a kind only
where all its stages of that kind are finished. Redone work is not part of a rate; it is counted apart.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from statistics import median
from typing import Any

from calcs.kit.rounding import places
from calcs.kit.units import inches
from jobs.core.canonical_json import Parsed, part_of_column, text_of_column
from jobs.domain.commissions.hours import plain_title
from jobs.domain.waits.route import asks_money
from jobs.models import Piece, Stage

LEAST_JOBS = 3
"""Jobs that a rate needs to be offered: one good day is no rate."""
JOINT, AREA, PIECE = "joint", "square foot", "piece"
DRIVES = {
    **dict.fromkeys(("rip", "layout", "joinery", "dry-fit", "glue-up", "scrape"), JOINT),
    **dict.fromkeys(
        ("rough-flatten", "final-flatten", "flatten", "raise-grain", "sand", "resand", "scuff", "seal",
         "build", "abrade"),
        AREA,
    ),
}  # fmt: skip
"""The size that a kind of stage scales with; other kinds scale by the piece. Common practice, no source."""
FOOT = Decimal(inches(12))
NEWEST = 400
"""Timed stages that the usual time of a stage is taken from."""


@dataclass(frozen=True, kw_only=True)
class Rate:
    """Minutes per unit of a kind of stage, and the number of jobs behind the rate."""

    kind: str
    title: str
    per: str
    jobs: int
    median: Decimal
    least: Decimal
    most: Decimal

    @property
    def is_offered(self) -> bool:
        return self.jobs >= LEAST_JOBS

    def of(self, amount: Decimal) -> dict[str, Any]:
        """Return the minutes for this amount of work."""
        return {
            "kind": self.kind,
            "title": self.title,
            "per": self.per,
            "amount": places(amount, 2),
            "jobs": self.jobs,
            "minutes": places(self.median * amount, 0),
            "least": places(self.least * amount, 0),
            "most": places(self.most * amount, 0),
        }


@dataclass(kw_only=True)
class _Job:
    """One kind of stage in one commission."""

    minutes: int = 0
    amount: Decimal = Decimal(0)
    is_whole: bool = True


@dataclass(frozen=True, kw_only=True)
class Sized:
    """The sizes of a piece that drive its hours."""

    quantity: int
    strips: int | None
    length: int | None
    width: int | None
    commission: int = 0

    def amount(self, kind: str, spec: Mapping[str, Any]) -> Decimal | None:
        """Return the work of one stage; that of a clamping closes its own joints alone."""
        per, count = DRIVES.get(kind, PIECE), Decimal(self.quantity)
        if per == PIECE:
            return count
        if per == JOINT and (clamping := spec.get("clamping")):
            return (len(clamping["joins"]) - 1) * count
        if per == JOINT:
            return (Decimal(self.strips) - 1) * count if self.strips and self.strips > 1 else None
        if not self.length or not self.width:
            return None
        return Decimal(self.length) * Decimal(self.width) / FOOT**2 * count


def rates() -> dict[str, Rate]:
    """Return the rate of every kind of stage that the log has times for."""
    jobs: dict[str, dict[int, _Job]] = defaultdict(lambda: defaultdict(_Job))
    titles: dict[str, str] = {}
    pieces, specs = _pieces(), Parsed()
    stages = Stage.objects.exclude(step=Stage.Step.SKIPPED).filter(title_ref=None).order_by("id")
    for piece, spec, step, minutes in stages.values_list(
        "piece_id", text_of_column("spec"), "step", "minutes"
    ):
        told = specs[spec]
        kind = _kind(told)
        if not kind:
            continue
        titles.setdefault(kind, plain_title(told))
        job, amount = jobs[kind][pieces[piece].commission], pieces[piece].amount(kind, told)
        if step != Stage.Step.DONE or minutes is None or amount is None:
            job.is_whole = False
            continue
        job.minutes += minutes
        job.amount += amount
    found = {kind: _rate(kind, titles[kind], of_kind.values()) for kind, of_kind in jobs.items()}
    return {kind: rate for kind, rate in found.items() if rate}


def usual_minutes(stages: Collection[Stage], sizes: Mapping[int, Sized]) -> dict[int, int]:
    """Return how long each of these stages usually takes, by the newest of its kind that were timed.

    ``sizes`` are those of the stages' pieces. A kind that fewer than ``LEAST_JOBS`` tell of is left out.
    """
    each = newest_rates({kind_of(stage) for stage in stages})
    found: dict[int, int] = {}
    for stage in stages:
        told, amount = each.get(kind_of(stage), []), sizes[stage.piece_id].amount(kind_of(stage), stage.spec)
        if amount and len(told) >= LEAST_JOBS:
            found[stage.id] = round(median(told) * amount)
    return found


def newest_rates(kinds: Collection[str]) -> dict[str, list[Decimal]]:
    """Return the minutes per unit of the newest timed stages of these kinds, the newest first."""
    specs = Parsed()
    timed = Stage.objects.filter(step=Stage.Step.DONE, minutes__gt=0, title_ref=None).order_by("-id")
    each: dict[str, list[Decimal]] = defaultdict(list)
    for spec, minutes, quantity, strips, length, width in timed.values_list(
        text_of_column("spec"), "minutes", "piece__quantity",
        part_of_column("piece__computed", "layout", "result", "count"),
        part_of_column("piece__inputs", "length_len"), part_of_column("piece__inputs", "width_len"),
    )[:NEWEST]:  # fmt: skip
        kind = _kind(specs[spec])
        if kind and kind in kinds:
            size = Sized(quantity=quantity, strips=strips, length=length, width=width)
            if amount := size.amount(kind, specs[spec]):
                each[kind].append(minutes / amount)
    return each


def _pieces() -> dict[int, Sized]:
    """Return the sizes of every piece; the database picks them out of the long results."""
    rows = Piece.objects.values_list(
        "id", "commission_id", "quantity", part_of_column("computed", "layout", "result", "count"),
        part_of_column("inputs", "length_len"), part_of_column("inputs", "width_len"),
    )  # fmt: skip
    return {
        key: Sized(commission=commission, quantity=quantity, strips=strips, length=length, width=width)
        for key, commission, quantity, strips, length, width in rows
    }


def _rate(kind: str, title: str, jobs: Iterable[_Job]) -> Rate | None:
    """Return the rate of a kind from its timed jobs; None without any.

    A job without minutes was not timed.
    """
    told = [job.minutes / job.amount for job in jobs if job.is_whole and job.minutes and job.amount]
    if not told:
        return None
    return Rate(
        kind=kind, title=title, per=DRIVES.get(kind, PIECE), jobs=len(told),
        median=median(told), least=min(told), most=max(told),
    )  # fmt: skip


def kind_of(stage: Stage) -> str:
    """Return the template's kind of a stage worked by hand; empty for a maker's own stage."""
    return "" if stage.title_ref is not None else _kind(stage.spec)


def _kind(spec: Mapping[str, Any]) -> str:
    return "" if spec["passive"] else str(spec["template_key"])


def size_of(piece: Piece) -> Sized:
    """Return the sizes of a piece that drive its hours."""
    strips = piece.computed.get("layout", {}).get("result", {}).get("count")
    length, width = piece.inputs.get("length_len"), piece.inputs.get("width_len")
    return Sized(quantity=piece.quantity, strips=strips, length=length, width=width)


def amount_of(stage: Stage, piece: Piece) -> Decimal | None:
    """Return how much of the driving size a stage of a piece works; None where its figures do not say."""
    return size_of(piece).amount(kind_of(stage), stage.spec)


def offered(piece: Piece, known: Mapping[str, Rate]) -> list[dict[str, Any]]:
    """Return the times of a piece's stages by the shop's own rates, without kinds with too few jobs."""
    amounts: dict[str, Decimal] = {}
    for stage in piece.stages.all():
        kind = kind_of(stage)
        if kind in known and known[kind].is_offered:
            amount = amount_of(stage, piece)
            if amount is not None:
                amounts[kind] = amounts.get(kind, Decimal(0)) + amount
    return [known[kind].of(amount) for kind, amount in amounts.items()]


def ends_by_itself(stage: Stage) -> bool:
    """Return whether a stage ends as the order is paid."""
    return asks_money(stage) or stage.spec["marks"] == "closed"


def kinds_of(piece: Piece) -> dict[str, str]:
    """Return the kinds of stages of a piece with their titles, in route order.

    What ends by itself once the order is paid takes no time of work.
    """
    stages = [s for s in piece.stages.all() if s.step != Stage.Step.SKIPPED and not ends_by_itself(s)]
    return {kind: plain_title(stage.spec) for stage in stages if (kind := kind_of(stage))}
