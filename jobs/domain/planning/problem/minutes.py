"""How long the stages take: by the shop's log, else by the piece's calculations, else as is usual."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from calcs.planning.spreads import Spread, spread_of
from jobs.domain.commissions.labour_rates import LEAST_JOBS, Sized, kind_of, newest_rates, size_of
from jobs.domain.planning.problem.usual_times import GLUE_SETUP_MIN, TURN_MIN, TURNED, usual_min
from jobs.domain.waits.queries import worked_min
from jobs.models import Piece, Stage

CALCULATED_SD = 0.35
"""Spread of calculated minutes: standard deviation of their logarithm. Common practice, no source."""
LEAST_MIN = 5.0
LEFT_SHARE = 0.25
"""Share of its usual time that a stage under way still takes at least: common practice, no source."""


class StageMinutes:
    """Attended minutes of many stages with their spread, from one look into the log."""

    def __init__(self, stages: Collection[Stage]) -> None:
        self.rates = newest_rates({kind_of(stage) for stage in stages})
        self.sizes: dict[int, Sized] = {}
        self.paces: dict[str, float] = {}

    def left(self, stage: Stage, piece: Piece, now: datetime) -> Spread:
        """Return the minutes that an open stage still takes."""
        whole = self.whole(stage, piece)
        if pace := self.paces.get(piece.commission.number):
            whole = replace(whole, median=max(whole.median * pace, LEAST_MIN))
        worked = worked_min(stage, now) or 0
        return replace(whole, median=max(whole.median - worked, whole.median * LEFT_SHARE, LEAST_MIN))

    def take_in_all(self, work: Collection[tuple[Stage, Piece]], hours: Decimal, now: datetime) -> None:
        """Let these stages of one commission take so many hours [h] together, each its share of them."""
        usual = sum(self.left(stage, piece, now).median for stage, piece in work)
        for _, piece in work:
            self.paces[piece.commission.number] = float(hours) * 60 / usual

    def whole(self, stage: Stage, piece: Piece) -> Spread:
        """Return the minutes that a stage takes from its start."""
        kind = str(stage.spec["template_key"])
        amount = self._size(piece).amount(kind, stage.spec)
        told = self.rates.get(kind_of(stage), [])
        if amount and len(told) >= LEAST_JOBS:
            each = spread_of([float(one) for one in told], kind=kind)
            return replace(each, median=each.median * float(amount))
        if (found := calculated(stage, piece)) is not None:
            return spread_of([], usual=max(found, LEAST_MIN), kind=kind, usual_log_sd=CALCULATED_SD)
        usual, units = usual_min(kind)
        minutes = usual * (float(amount) if amount else units) + _turns(stage, piece)
        return spread_of([], usual=max(minutes, LEAST_MIN), kind=kind)

    def _size(self, piece: Piece) -> Sized:
        if piece.id not in self.sizes:
            self.sizes[piece.id] = size_of(piece)
        return self.sizes[piece.id]


def calculated(stage: Stage, piece: Piece) -> float | None:
    """Return the minutes that the piece's calculations give for a stage; None where none does."""
    kind, count = str(stage.spec["template_key"]), piece.quantity
    if kind in ("sand", "resand") and (sanding := _result(piece, "sanding")):
        seconds = sanding["all_s"] if kind == "sand" else sanding["ladder"][-1]["all_s"]
        return float(seconds) / 60 * count + _turns(stage, piece)
    if kind == "glue-up" and (gluing := _result(piece, "gluing")):
        clamping = stage.spec.get("clamping")
        mine = [s["whole_s"] for s in gluing["stages"] if not clamping or s["number"] == clamping["number"]]
        return (GLUE_SETUP_MIN + sum(mine) / 60) * count if mine else None
    return None


def _turns(stage: Stage, piece: Piece) -> float:
    """Return the minutes to turn a piece over for work on both faces."""
    both = stage.spec["template_key"] in TURNED and _result(piece, "flips")
    return TURN_MIN * piece.quantity if both else 0.0


def _result(piece: Piece, name: str) -> Mapping[str, Any]:
    return piece.computed.get(name, {}).get("result") or {}
