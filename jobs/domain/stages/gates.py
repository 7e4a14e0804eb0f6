"""Judge gates: conditions that must hold before a stage starts or ends."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from calcs.glue_up.glue_stages import RESERVE
from calcs.kit.amounts import format_temperature, parse_duration
from calcs.kit.errors import OutOfRange
from calcs.kit.length_reading import parse_length
from calcs.kit.units import format_length
from calcs.lumber.finished_size import FLAT_MOST_LEN, finished_limits
from calcs.lumber.quarters import quarters_for
from calcs.materials.product_sheets import Finish, Glue
from calcs.wood.time_to_settle import NEAR_EMC
from jobs.core.errors import GateShut, Invalid
from jobs.core.units import Units
from jobs.domain.checks import has_reason
from jobs.domain.stages.measurements import amount, read_measure, show

DRY_FIT_SHARE = Decimal(RESERVE.numerator) / RESERVE.denominator
"""Share of the open time a dry fit may take; common practice, no source."""
NOT_GIVEN = "not given"


@dataclass(frozen=True, kw_only=True)
class GateContext:
    """The facts that gates are judged against."""

    at: datetime
    units: Units
    glues: list[Glue]
    finishes: list[Finish]
    finished_at: Callable[[str], datetime | None]
    rules: Mapping[str, Callable[[], str]]
    """Rule name -> empty text when it holds, else what is missing."""
    sizes: Mapping[str, int | None]
    """Limits that the piece sets itself [1/8 µm], see ``sizes_of``; None where it has no such size."""
    shop_emc: Callable[[], Decimal | None]
    """Moisture that the measured air of the shop leads to [%]; None where nobody measured it lately."""


@dataclass(frozen=True, kw_only=True)
class GateResult:
    """The measurements in stored form, and the overridden gates with their reasons."""

    measured: dict[str, Any]
    overrides: dict[str, str]
    left: "list[GateFailure]"
    """Gates that finishing left open; the stage asks for them later."""


@dataclass(frozen=True, kw_only=True)
class GateFailure:
    """One gate that is not met."""

    key: str
    title: str
    value: str
    allowed: str
    source: str = ""


def check(
    gates: list[dict[str, Any]],
    moment: str,
    measured: Mapping[str, str],
    overrides: Mapping[str, str],
    ground: GateContext,
    also_shut: list[GateFailure] | None = None,
    later: bool = False,
) -> GateResult:
    """Judge every gate of a moment ("start" or "finish"); refuse, naming each gate that fails.

    ``also_shut`` holds failures found elsewhere, such as a running wait or a missed window; a reason
    overrides them too. With ``later``, a gate of this moment that is shut does not refuse; it is returned in
    ``left``.
    """
    asked = [g for g in gates if g["at"] == moment]
    unknown = sorted(set(measured) - {g["key"] for g in asked if "unit" in g})
    if unknown:
        raise Invalid(
            f"this stage does not ask for {unknown[0]} at its {moment}",
            field=f"measured.{unknown[0]}",
            value=measured[unknown[0]],
            allowed=", ".join(g["key"] for g in asked if "unit" in g) or "no measurements",
        )
    for key, reason in overrides.items():
        has_reason(reason, what="an override", field=f"override.{key}")
    stored: dict[str, Any] = {}
    shut = list(also_shut or [])
    for gate in asked:
        if "rule" in gate:
            shut += _judge_rule(gate, ground)
            continue
        text = measured.get(gate["key"])
        if text is None or not str(text).strip():
            shut.append(
                GateFailure(
                    key=gate["key"], title=gate["title"], value=NOT_GIVEN, allowed=_range(gate, ground)
                )
            )
            continue
        value = read_measure(gate, str(text), ground.units)
        stored[gate["key"]] = value
        shut += _judge(gate, value, ground)
    still = [s for s in shut if s.key not in overrides]
    may_wait = {g["key"] for g in asked} if later else set()
    left = [s for s in still if s.key in may_wait]
    still = [s for s in still if s not in left]
    if still:
        raise GateShut(
            "; ".join(f"{s.title}: {s.value}, allowed {s.allowed}" for s in still),
            field=f"measured.{still[0].key}",
            value=still[0].value,
            allowed=still[0].allowed,
            extra={"shut": [vars(s) for s in still]},
        )
    return GateResult(
        measured={key: value for key, value in stored.items() if key not in {s.key for s in left}},
        overrides={s.key: overrides[s.key] for s in shut if s.key in overrides},
        left=left,
    )


def _judge(gate: dict[str, Any], stored: dict[str, Any], ground: GateContext) -> list[GateFailure]:
    if "yes" in stored:
        held = stored["yes"]
    else:
        value, least, most = amount(stored), limit(gate, "least", ground), limit(gate, "most", ground)
        held = value is None or ((least is None or value >= least) and (most is None or value <= most))
    if held and _is_near(gate, stored, ground):
        return []
    return [
        GateFailure(
            key=gate["key"],
            title=gate["title"],
            value=show(stored, ground.units),
            allowed=_range(gate, ground),
            source=gate.get("source", ""),
        )
    ]


def _is_near(gate: dict[str, Any], stored: dict[str, Any], ground: GateContext) -> bool:
    """Return whether a moisture is near the equilibrium of the shop's air; unmeasured air fails nothing."""
    if "near" not in gate:
        return True
    value, emc = amount(stored), ground.shop_emc()
    return value is None or emc is None or abs(value - emc) <= Decimal(NEAR_EMC)


def _judge_rule(gate: dict[str, Any], ground: GateContext) -> list[GateFailure]:
    missing = _stale(gate, ground) if gate["rule"] == "fresh" else ground.rules[gate["rule"]]()
    return (
        [GateFailure(key=gate["key"], title=gate["title"], value=missing, allowed=gate["title"])]
        if missing
        else []
    )


def _stale(gate: dict[str, Any], ground: GateContext) -> str:
    done = ground.finished_at(gate["of"])
    if done is None:
        return ""
    age = ground.at - done
    within = timedelta(seconds=parse_duration(gate["within"], field="within"))
    return f"{age.total_seconds() / 3600:.0f} h old" if age > within else ""


def limit(gate: dict[str, Any], word: str, ground: GateContext) -> Decimal | None:
    """Return a limit of a gate in the base unit of its measure, or None where it has none."""
    text = gate.get(word)
    if text is None:
        return None
    if text.startswith(("glue.", "finish.")):
        return _product_limit(text, ground)
    return own_limit(gate, word, ground.sizes)


def own_limit(gate: dict[str, Any], word: str, sizes: Mapping[str, int | None]) -> Decimal | None:
    """Return a limit that rests on no product; ``sizes`` are those of ``sizes_of``."""
    text = gate.get(word)
    if text is None or text.startswith(("glue.", "finish.")):
        return None
    if text.startswith("piece."):
        size = sizes[text]
        return None if size is None else Decimal(size)
    if gate["unit"] == "length":
        return Decimal(parse_length(text, unit="mm", field=word).units)
    return Decimal(text)


def sizes_of(inputs: Mapping[str, Any]) -> dict[str, int | None]:
    """Return the limits that the size of a piece sets [1/8 µm]; None where it has no such size.

    Rough boards are those that surface to the finished thickness and what flattening takes.
    """
    length, width, thickness = (inputs.get(f"{side}_len") for side in ("length", "width", "thickness"))
    limits = None
    if length and width and thickness:
        limits = finished_limits(length_len=length, width_len=width, thickness_len=thickness)
    milled = limits.milled_len if limits else thickness
    return {
        "piece.thickness": thickness,
        "piece.rough": _rough_len(milled) if milled else None,
        "piece.milled": milled,
        "piece.thinnest": limits.thinnest_len if limits else thickness,
        "piece.thickest": limits.thickest_len if limits else None,
        "piece.flat": limits.flat_len if limits else FLAT_MOST_LEN,
        "piece.square": limits.square_len if limits else None,
    }


def _rough_len(milled_len: int) -> int | None:
    """Return the rough thickness of boards that surface to a thickness [1/8 µm]; None above the thickest."""
    try:
        return quarters_for(milled_len).rough_len
    except OutOfRange:
        return None


def _product_limit(name: str, ground: GateContext) -> Decimal | None:
    """Return a limit from the product sheets of the piece; of several products the strictest."""
    glues, finishes = ground.glues, ground.finishes
    limits: dict[str, tuple[Callable[..., Decimal], list[Decimal]]] = {
        "glue.dry_fit": (min, [(DRY_FIT_SHARE * g.open_s / 60).quantize(Decimal("0.1")) for g in glues]),
        "glue.min_temp": (max, [g.min_temp_c for g in glues]),
        "glue.max_temp": (min, [g.max_temp_c for g in glues]),
        "finish.min_temp": (max, [f.min_temp_c for f in finishes]),
        "finish.max_temp": (min, [f.max_temp_c for f in finishes]),
        "finish.rh_max": (min, [f.rh_max_pct for f in finishes]),
    }
    strictest, values = limits[name]
    return strictest(values) if values else None


def _range(gate: dict[str, Any], ground: GateContext) -> str:
    return "; ".join(filter(None, (_span(gate, ground), _near(gate, ground))))


def _near(gate: dict[str, Any], ground: GateContext) -> str:
    if "near" not in gate:
        return ""
    emc = ground.shop_emc()
    if emc is None:
        return "no readings of the shop's air to compare it with"
    return f"within {NEAR_EMC:.0f} % of the {emc} % that the shop's air leads to"


def _span(gate: dict[str, Any], ground: GateContext) -> str:
    if gate["unit"] == "yes":
        return "yes"
    if gate["unit"] == "code":
        return "a lot number"
    shown = [_show_limit(gate, word, ground) for word in ("least", "most")]
    if shown[0] and shown[1]:
        return f"{shown[0]} to {shown[1]}"
    return f"at least {shown[0]}" if shown[0] else f"at most {shown[1]}" if shown[1] else "a measurement"


def _show_limit(gate: dict[str, Any], word: str, ground: GateContext) -> str:
    value = limit(gate, word, ground)
    if value is None:
        return ""
    if gate["unit"] == "length":
        return format_length(int(value), ground.units.length)
    if gate["unit"] == "celsius":
        return format_temperature(value, ground.units.temperature)
    return (
        f"{value} %"
        if gate["unit"] == "percent"
        else f"{value} min"
        if gate["unit"] == "minutes"
        else str(value)
    )


def ranges(gates: list[dict[str, Any]], ground: GateContext, *, still: bool = True) -> list[dict[str, Any]]:
    """Return each gate with its allowed range in words, for the screens and the API.

    ``still`` is false for gates that are no longer judged: their ranges leave out the limits set by today's
    air.
    """
    shown = _range if still else _span
    return [{**g, "allowed": shown(g, ground) if "unit" in g else g["title"]} for g in gates]
