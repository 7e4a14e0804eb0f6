"""Clamps by reach, bench places and the finishing room: what there is, what is in use, what a stage takes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from calcs.planning.problem import Hold, Resource
from jobs.core.errors import ShopError
from jobs.domain.planning.problem.axis import Axis, slots
from jobs.domain.stages.clamps import released_by
from jobs.domain.waits.route import RouteState, estimate_of, safe_at
from jobs.models import Equipment, Piece, Stage
from jobs.models import Hold as Taken

CLAMPS, BENCH, FINISHING = "clamps", "bench", "finishing room"
"""Places of stages; those of the clamps and the finishing room are resources with what there is of them."""
DUST_FREE = "dust-free air"
"""Of the finishing room: wet coats share it, and work that makes dust takes all of it."""
WET_AT_ONCE = 8
"""Coats that may be wet together where no places in the finishing room are entered."""
DUSTY = "fresh-finish-dust"
"""The caution of stages that make dust of finish."""


class TooWide(ShopError):
    """A top wider than every clamp, or one for which no clamps are left."""

    code = "too-wide"


@dataclass(frozen=True, kw_only=True)
class Places:
    """What the shop has: clamps of at least each reach, bench places, places in the finishing room."""

    reaches: tuple[int, ...]
    clamps: Mapping[int, int]
    benches: int
    coats: int
    lost: Mapping[int, int]

    @property
    def air(self) -> int:
        return self.coats or WET_AT_ONCE

    def resources(self, taken: Mapping[str, Sequence[tuple[int, int, int]]]) -> list[Resource]:
        """Return the resources with what is in use already."""
        found = {clamp_key(reach): count - self.lost[reach] for reach, count in self.clamps.items()}
        found |= {BENCH: self.benches, FINISHING: self.coats, DUST_FREE: self.air}
        return [
            Resource(key=key, capacity=count, taken=tuple(taken.get(key, ())))
            for key, count in found.items()
            if count
        ]

    def clamps_for(self, stage: Stage, piece: Piece) -> dict[str, int]:
        """Return how many clamps of each reach a glue-up takes; refuse one that no clamp reaches across.

        It takes all that reach where the piece wants more than there are.
        """
        figures = piece.computed.get("clamping", {}).get("result")
        if not self.reaches or not figures or not takes_clamps(stage):
            return {}
        needed = _reach_of(stage, piece, figures["reach_len"])
        fits = next((reach for reach in self.reaches if reach >= needed), None)
        if fits is None:
            raise TooWide(
                "it is wider than every clamp reaches: get longer clamps, or glue it up in parts",
                field="reach", value=needed, allowed=f"up to {self.reaches[-1]}",
            )  # fmt: skip
        left = self.clamps[fits] - self.lost[fits]
        if left < 1:
            raise TooWide(
                "all clamps that reach are on other work that nothing frees: take them off first",
                field="clamps", value=0, allowed="1 or more",
            )  # fmt: skip
        count = min(int(figures["count"]) * piece.quantity, left)
        return {clamp_key(reach): count for reach in self.reaches if reach <= fits}

    def uses(self, stage: Stage) -> dict[str, int]:
        """Return the places that a stage takes while it is worked; a coat keeps its own, see ``keeps``."""
        if stage.spec["place"] == BENCH and self.benches:
            return {BENCH: 1}
        if stage.spec["place"] == FINISHING:
            room = {FINISHING: 1} if self.coats else {}
            return room | ({DUST_FREE: self.air} if DUSTY in stage.spec["cautions"] else {})
        return {}

    def keeps(self, stage: Stage, dries: timedelta | None) -> dict[str, int]:
        """Return the places in which a coat stays until it is dry: slots from its start."""
        if dries is None or stage.spec["place"] != FINISHING:
            return {}
        return ({FINISHING: slots(dries)} if self.coats else {}) | {DUST_FREE: slots(dries)}


def clamp_key(reach: int) -> str:
    """Return the key of the clamps of at least a reach [1/8 µm]."""
    return f"{CLAMPS}:{reach}"


def is_clamps(resource: str) -> bool:
    """Return whether a resource is clamps of some reach."""
    return resource.startswith(f"{CLAMPS}:")


def takes_clamps(stage: Stage) -> bool:
    """Return whether clamps go on in a stage and come off in a later one."""
    return stage.spec["place"] == CLAMPS and bool(released_by(stage))


def _reach_of(stage: Stage, piece: Piece, whole: int) -> int:
    """Return the reach that a clamping takes [1/8 µm]: that of what it makes."""
    clamping = stage.spec.get("clamping")
    stages = (piece.computed.get("gluing", {}).get("result") or {}).get("stages", [])
    mine = [s["width_len"] for s in stages if clamping and s["number"] == clamping["number"]]
    return int(mine[0]) if mine else whole


def places_of(
    held: Sequence[Taken], ends: Mapping[int, str], extra: Mapping[int, int]
) -> tuple[Places, list[Hold]]:
    """Return the places of the shop, and the clamps in use as holds until the task that frees them.

    ``ends`` names that task by the id of the stage that took them; what no task frees is lost to the plan.
    ``extra`` are clamps more by their reach [1/8 µm].
    """
    rows = list(Equipment.objects.filter(retired_at=None))
    clamps = [
        (row.reach_len, row.count) for row in rows if row.kind == Equipment.Kind.CLAMP and row.reach_len
    ]
    clamps += extra.items()
    reaches = tuple(sorted({reach for reach, _ in clamps}))
    of = {reach: sum(count for each, count in clamps if each >= reach) for reach in reaches}
    benches = _count(rows, Equipment.Kind.BENCH)
    busy = [ends[key] for key in dict.fromkeys(one.stage_id for one in held) if key in ends][:benches]
    lost = dict.fromkeys(reaches, 0)
    holds = [Hold(resource=BENCH, units=1, first="", last=last) for last in busy]
    for one in held:
        for reach in reaches:
            if reach > (one.equipment.reach_len or 0):
                continue
            if one.stage_id in ends:
                last = ends[one.stage_id]
                holds.append(Hold(resource=clamp_key(reach), units=one.count, first="", last=last))
            else:
                lost[reach] += one.count
    places = Places(
        reaches=reaches, clamps=of, lost=lost, benches=benches,
        coats=_count(rows, Equipment.Kind.FINISHING),
    )  # fmt: skip
    return places, holds


def _count(rows: Iterable[Equipment], kind: str) -> int:
    return sum(row.count for row in rows if row.kind == kind)


def wet_now(
    routes: Iterable[RouteState], axis: Axis, places: Places
) -> dict[str, list[tuple[int, int, int]]]:
    """Return what wet coats take of the finishing room from now until they are dry."""
    found: dict[str, list[tuple[int, int, int]]] = {}
    for route in routes:
        for wait in route.waits:
            estimate = estimate_of(wait)
            dry = safe_at(wait, estimate) if estimate and wait.stage.spec["place"] == FINISHING else None
            if wait.stage.spec["passive"] or dry is None or (until := axis.first_from(dry)) <= 0:
                continue
            for key in (FINISHING, DUST_FREE):
                found.setdefault(key, []).append((0, until, 1))
    return within(found, {FINISHING: places.coats, DUST_FREE: places.air})


def within(
    taken: dict[str, list[tuple[int, int, int]]], most: Mapping[str, int]
) -> dict[str, list[tuple[int, int, int]]]:
    """Return as many of these as there are places: more coats may lie wet than were entered."""
    return {key: rows[: most[key]] for key, rows in taken.items() if most[key]}
