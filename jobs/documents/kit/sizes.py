"""Sizes and amounts on a paper, in the one system of the shop, rounded to what their reader can measure."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any, Literal

from calcs.asking.figure_wording import in_us
from calcs.kit.amounts import format_temperature
from calcs.kit.rounding import half_up, up
from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM, format_length
from jobs.core.units import Units, in_units
from jobs.domain.papers.letterhead import sizes_of_shop

NBSP = "\u00a0"
Way = Literal["near", "up", "down"]
"""Clearances, recesses, slots and widths of strips go up, glued lengths and tongues down."""
BENCH = {"in": UNITS_PER_INCH // 16, "mm": UNITS_PER_MM}
JOINT = {"in": UNITS_PER_INCH // 64, "mm": UNITS_PER_MM // 2}
ABOUT = {"in": UNITS_PER_INCH // 4, "mm": UNITS_PER_MM * 5}
"""Steps of a tape, of a joint, and of a place that nobody measures closer; common practice, no source."""
AMOUNTS: Mapping[str, tuple[str, str]] = {
    "kg": ("1", "1"), "mL": ("0.5", "10"), "L": ("0.1", "0.01"), "g": ("0.5", "10"), "kPa": ("1", "10"),
    "N": ("1", "1"), "m²": ("0.1", "0.01"), "kg/m³": ("1", "1"),
}  # fmt: skip
"""Steps of the amounts kept in a unit, in the US unit and in that one; common practice, no source."""
ROUNDING = {"near": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


@dataclass(frozen=True, kw_only=True)
class Sizes:
    """The unit of a paper, ``in`` or ``mm``, and whether finished sizes show the other one in brackets."""

    unit: str = "in"
    both: bool = False
    is_bare: bool = False
    """Whether lengths are written without their unit, for tables that name it once."""

    @classmethod
    def of(cls, frozen: Mapping[str, Any]) -> "Sizes":
        """Return the sizes of a frozen paper; one frozen before units were kept is in inches."""
        return cls(**frozen.get("sizes", {}))

    @classmethod
    def of_shop(cls) -> "Sizes":
        """Return the sizes of a paper that is printed now."""
        return cls(**sizes_of_shop())

    @property
    def bare(self) -> "Sizes":
        return replace(self, is_bare=True)

    @property
    def unit_name(self) -> str:
        return {"in": "inches", "mm": "millimeters"}[self.unit]

    def bench(self, length_len: int | None, way: Way = "near") -> str:
        """Return a length to 1/16 in or 1 mm.

        Examples
        --------
        >>> from calcs.kit.units import inches
        >>> Sizes().bench(inches("643/16")), Sizes(unit="mm").bench(inches("643/16"))
        ('40\\xa03/16"', '1021\\xa0mm')
        """
        return self._length(length_len, BENCH, way)

    def joint(self, length_len: int | None, way: Way = "near") -> str:
        """Return a length to 1/64 in or 0.5 mm."""
        return self._length(length_len, JOINT, way)

    def about(self, length_len: int | None, way: Way = "near") -> str:
        """Return a length to 1/4 in or 5 mm: places of clamps and cauls."""
        return self._length(length_len, ABOUT, way)

    def finished(self, *lengths_len: int | None) -> str:
        """Return the sizes of a finished part, ``98 × 40 × 1 3/4"``, with the other unit where asked."""
        told = self._together(lengths_len)
        if not self.both:
            return told
        other = replace(self, unit="mm" if self.unit == "in" else "in", both=False)
        return f"{told} ({other.finished(*lengths_len)})"

    def amount(self, value: Decimal | str | int, kept_in: str, way: Way = "near") -> str:
        """Return an amount kept in kg, mL, L, g, kPa, N or m² in the unit of the paper.

        Examples
        --------
        >>> Sizes().amount(Decimal("72.6"), "kg"), Sizes(unit="mm").amount(Decimal("283"), "mL", "up")
        ('160\\xa0lb', '290\\xa0mL')
        """
        us_step, step = AMOUNTS[kept_in]
        shown, unit = (in_us(Decimal(value), kept_in)) if self.unit == "in" else (Decimal(value), kept_in)
        to = Decimal(us_step if self.unit == "in" else step)
        steps = (shown / to).quantize(Decimal(1), ROUNDING[way])
        if not steps and shown:
            return f"under{NBSP}{to.normalize():f}{NBSP}{unit}"
        return f"{(steps * to).normalize():,f}{NBSP}{unit}".replace(" ", NBSP)

    def temperature(self, celsius: Decimal | str) -> str:
        """Return a temperature [°C] in whole degrees of the paper's system."""
        degrees = format_temperature(Decimal(celsius), "F" if self.unit == "in" else "C")
        number, sign = degrees.rsplit(" ", 1)
        return f"{Decimal(number).quantize(Decimal(1), ROUND_HALF_UP):f}{NBSP}{sign}"

    def text(self, text: str) -> str:
        """Return a sentence of a calculation, its figures in the paper's system alone."""
        units = Units(length=self.unit, temperature="F" if self.unit == "in" else "C")
        return in_units(text, units).replace("≈ ", "")

    def _length(self, length_len: int | None, steps: Mapping[str, int], way: Way) -> str:
        if length_len is None:
            return ""
        number = self._number(length_len, steps[self.unit], way)
        return number if self.is_bare else self._with_unit(number)

    def _number(self, length_len: int, step: int, way: Way) -> str:
        """Return a rounded length without its unit; what would read as zero is written closer."""
        share = Fraction(length_len, step)
        count = half_up(share) if way == "near" else up(share) if way == "up" else -up(-share)
        if not count and length_len:
            return format_length(length_len, self.unit).removeprefix("≈ ").rstrip('" m')
        return format_length(count * step, self.unit).rstrip('" m').replace(" ", NBSP)

    def _with_unit(self, number: str) -> str:
        return f'{number}"' if self.unit == "in" else f"{number}{NBSP}mm"

    def _together(self, lengths_len: tuple[int | None, ...]) -> str:
        numbers = [self._number(each, BENCH[self.unit], "near") for each in lengths_len if each is not None]
        told = f"{NBSP}× ".join(numbers)
        return told if self.is_bare or not told else self._with_unit(told)
