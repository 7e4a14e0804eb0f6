"""The air of the shop's places, as the waits of one estimate need it: each series is computed once."""

from collections.abc import Callable
from typing import Any, TypeVar

from calcs.curing.rates import Law
from calcs.curing.series import (
    Pair,
    Series,
    daily_profile,
    in_wood,
    series,
)
from calcs.curing.series_ages import Ages
from jobs.domain.climate.air_history import habit_span, last_step, means
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import Product, product_at

FINISHING = "finish"
T = TypeVar("T")


class AirOfPlaces:
    """Measured and expected air since a quarter hour; series and laws are kept while waits are estimated."""

    def __init__(self, *, begin: int) -> None:
        self.made: dict[Any, Any] = {}
        self.begin = begin
        self.places: list[str] = settings()["places"]

    def memoized(self, key: Any, make: Callable[[], T]) -> T:
        """Return the value kept for this key; make it the first time."""
        if key not in self.made:
            self.made[key] = make()
        return self.made[key]  # type: ignore[no-any-return]

    def product(self, kind: str, key: str, version: int) -> Product:
        return self.memoized(("product", kind, key, version), lambda: product_at(kind, key, version))

    def place_of(self, kind: str, first: int) -> str | None:
        """Return the measured place for a clock: coats take the finishing room where that is measured."""
        rooms = [p for p in self.places if FINISHING in p.lower()] if kind == FINISHING else []
        return next((p for p in (*rooms, self.places[0]) if self._measured_since(p, first)), None)

    def _measured_since(self, place: str, first: int) -> bool:
        last = self.last(place)
        return last is not None and last >= habit_span(first)

    def last(self, place: str) -> int | None:
        """Return the newest quarter hour measured at a place."""
        return self.memoized(("last", place), lambda: last_step(place))

    def measured(self, place: str, last: int) -> dict[int, Pair]:
        """Return the measured air of a place since the oldest wait began, and for its daily profile."""
        return means(place, first=min(self.begin, habit_span(last)))

    def usual(self) -> Pair:
        """Return the shop's usual temperature [°C] and humidity [%]."""
        shop = settings()
        return float(shop["shop_c"]), float(shop["shop_rh_pct"])

    def air(self, place: str, lag_s: float) -> Series:
        """Return the air of a place since the oldest wait, or that inside wood with a lag [s]."""
        made = self.memoized(("air", place), lambda: self._series(place))
        return self.memoized(("wood", place, lag_s), lambda: in_wood(made, lag_s)) if lag_s else made

    def _series(self, place: str) -> Series:
        last = self.last(place)
        assert last is not None
        measured = self.measured(place, last)
        recent = {step: pair for step, pair in measured.items() if step >= habit_span(last)}
        return series(measured, first=min(self.begin, last), profile=daily_profile(recent, self.usual()))

    def ages(self, law: Law, air_key: Any, air: Series) -> Ages:
        return self.memoized(("ages", law, air_key), lambda: Ages(law, air))
