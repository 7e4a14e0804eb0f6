"""How long waits that have not begun will last, in the air that the shop is expected to have."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from calcs.kit.errors import CalcError
from jobs.core.errors import ShopError
from jobs.domain.climate.wait_estimates import WaitEstimator
from jobs.domain.waits.route import SCRAPE, RouteState, look_at, safe_at
from jobs.domain.waits.wait_lengths import lasts
from jobs.domain.waits.waits import times_for
from jobs.models import Piece, Stage, Wait, WaitEstimate

Spec = Mapping[str, Any]
CAUTION = 1.25
"""Slowest time of a clock without a range, as a multiple of its likely one: common practice, no source."""
SETTLES_OVER = 2.0
"""Slowest time of a route's own duration as a multiple of it: stock settles 7 to 14 days, see the routes."""
LONG = timedelta(days=2)
EIGHT_IN_TEN = 0.8416 / 1.6449
"""Quantile of 80 % over that of 95 % of a normal distribution, which the logarithm of a wait has here."""
TENTH = 10
"""Share of a window without any certain moment that the plan still aims at: one part in so many."""


@dataclass(frozen=True, kw_only=True)
class Length:
    """How long a wait lasts: ``safe`` is what plans keep; ``closes`` ends its window.

    ``safe`` is the cautious end of a short wait. A long one is estimated again while it runs, so a plan takes
    for it what eight in ten keep.
    """

    safe: timedelta
    likely: timedelta
    slowest: timedelta
    closes: timedelta | None = None


class WaitLengths:
    """Lengths of the waits of many routes; waits of one clock, product and thickness are estimated once."""

    def __init__(self, routes: Iterable[RouteState], now: datetime) -> None:
        self.now = now
        self.found: dict[Any, Length] = {}
        made: dict[Any, Wait] = {}
        for route in routes:
            for stage in route.stages:
                for spec in stage.spec["waits"]:
                    key = _key(spec, route.piece)
                    if spec["clock"] and key not in made and (wait := self._hypothetical(route, stage, spec)):
                        made[key] = wait
        estimator = WaitEstimator(made.values(), changed=())
        for key, wait in made.items():
            self.found[key] = self._estimated(estimator, wait)

    def of(self, spec: Spec, piece: Piece) -> Length:
        """Return the length of a wait of a piece."""
        if found := self.found.get(_key(spec, piece)):
            return found
        by_sheet = lasts(spec, piece.inputs)
        latest = spec["latest_s"]
        over = CAUTION if spec["clock"] or latest is not None else SETTLES_OVER
        slowest = by_sheet * over if latest is None else min(by_sheet * over, timedelta(seconds=latest))
        closes = timedelta(seconds=latest) if latest is not None else None
        return Length(safe=by_sheet, likely=by_sheet, slowest=slowest, closes=closes)

    def _hypothetical(self, route: RouteState, stage: Stage, spec: Spec) -> Wait | None:
        """Return the wait as if it began now, not saved; None where no time is known for it."""
        try:
            times = times_for(route, route.by_key.get(spec["since"], stage), dict(spec))
        except (CalcError, ShopError):
            return None
        if times is None or times["ready_s"] is None:
            return None
        return Wait(stage=stage, kind=spec["kind"], title=spec["title"], since=self.now, **times)

    def _estimated(self, estimator: WaitEstimator, wait: Wait) -> Length:
        told = timedelta(seconds=wait.ready_s or 0)
        found = WaitEstimate(wait=wait, **vars(estimator.estimate(wait)))
        ready = look_at(wait, found) or safe_at(wait, found)
        likely = (found.likely_at or ready or self.now + told) - self.now
        safe = ready - self.now if ready else max(told, likely) * CAUTION
        slowest = max((found.latest_at - self.now) if found.latest_at else safe, safe)
        if found.closes_at is None:
            if likely >= LONG:
                safe = likely * (slowest / likely) ** EIGHT_IN_TEN
            return Length(safe=max(safe, likely), likely=likely, slowest=max(slowest, likely))
        closes = found.closes_at - self.now
        if closes <= safe:
            safe = min(likely, closes) if wait.kind != SCRAPE else safe
            closes = max(closes, safe + safe / TENTH)
        return Length(safe=safe, likely=min(likely, safe), slowest=slowest, closes=closes)


def _key(spec: Spec, piece: Piece) -> Any:
    inputs = piece.inputs
    products = (inputs.get("glue"), inputs.get("finish_face"), inputs.get("finish_under"))
    return spec["clock"], spec["kind"], products, inputs.get("thickness_len")
