"""What the card of a stage says beside the stage: how long it takes, what waits after it, what is known."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.curing.series import STEP_S
from calcs.kit.amounts import format_temperature
from calcs.kit.errors import CalcError
from jobs.core.canonical_json import part_of_column
from jobs.core.errors import ShopError
from jobs.domain.climate.air_history import step_of
from jobs.domain.climate.settling import gate_figures
from jobs.domain.commissions.labour_rates import size_of, usual_minutes
from jobs.domain.routes.approvals import approved_gates
from jobs.domain.settings import settings
from jobs.domain.stages.gates import GateContext, check
from jobs.domain.stages.glue_today import FRESH
from jobs.domain.stages.preconditions import GLUE_LOT
from jobs.domain.stock.queries import supply_views
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.wait_lengths import waits_after
from jobs.models import AirMean, Piece, Stage, Supply

SENSOR, METER, SHELF, CLIENT = "sensor", "meter", "shelf", "client"
"""Origin of a known value: readings of the air and of the boards, the only pack on the shelf, a yes."""
AIR = {"shop_temperature": "temp_c", "humidity": "rh_pct"}
"""Gates that the measured air of the place answers, each with its figure."""
TO_WORK = (Stage.Step.PLANNED, Stage.Step.UNDER_WAY)
Known = dict[str, dict[str, Any]]


def stage_card(route: RouteState, stage: Stage, ground: GateContext) -> dict[str, Any]:
    """Return what a stage's card says beside its view; ``ground`` is what its gates are judged against.

    Of a stage that is over nothing is said.
    """
    if stage.step not in TO_WORK:
        return {"minutes": None, "then": [], "known": {}, "met": []}
    return {
        "minutes": usual_minutes([stage], {stage.piece_id: size_of(route.piece)}).get(stage.id),
        "then": [
            {"title": wait["title"], "seconds": int(length.total_seconds())}
            for wait, length in waits_after(route, stage, route.piece.inputs)
        ],
        "known": known_values(route.piece, stage, ground),
        "met": sorted(cautions_met(stage)) if stage.spec["cautions"] else [],
    }


def cautions_met(stage: Stage) -> set[str]:
    """Return the cautions that an earlier stage of the commission has shown: one that was begun."""
    begun = Stage.objects.filter(piece__commission=stage.piece.commission_id, started_at__isnull=False)
    others = begun.exclude(id=stage.id).values_list(part_of_column("spec", "cautions"), flat=True)
    return {key for keys in others for key in keys or ()}


def known_values(piece: Piece, stage: Stage, ground: GateContext) -> Known:
    """Return the measurements of a stage that the shop knows already, as a person would type them.

    Each says where it comes from, when it was read, and whether it passes its gate.
    """
    asked = {gate["key"]: gate for gate in stage.spec["gates"] if "unit" in gate}
    found = _of_the_air(stage, asked, ground)
    if any(gate["unit"] == "percent" and key.startswith("moisture_") for key, gate in asked.items()):
        shop = settings()
        usual = float(shop["shop_c"]), float(shop["shop_rh_pct"])
        figures = gate_figures(piece.number, now=ground.at, air=usual)
        found |= {k: {"value": v, "from": METER, "at": None} for k, v in figures.items() if k in asked}
    if GLUE_LOT in asked and (lot := _only_lot(piece, ground.at)):
        found[GLUE_LOT] = {"value": lot, "from": SHELF, "at": None}
    for key, yes in approved_gates(stage).items():
        found[key] = {"value": "yes", "from": CLIENT, "at": yes.approved_at}
    return {key: {**one, "holds": _holds(asked[key], one["value"], ground)} for key, one in found.items()}


def _holds(gate: dict[str, Any], value: str, ground: GateContext) -> bool:
    """Return whether a value passes its gate."""
    try:
        check([gate], gate["at"], {gate["key"]: value}, {}, ground)
    except (ShopError, CalcError):
        return False
    return True


def _of_the_air(stage: Stage, asked: dict[str, dict[str, Any]], ground: GateContext) -> Known:
    """Return the temperature and humidity of the stage's place, where a fresh reading has them."""
    if not AIR.keys() & asked.keys():
        return {}
    places = settings()["places"]
    place = stage.spec["place"] if stage.spec["place"] in places else places[0]
    newest = AirMean.objects.filter(place=place, step__gte=step_of(ground.at - FRESH)).order_by("-step")
    last = newest.first()
    found: Known = {}
    for key, figure in AIR.items():
        value = getattr(last, figure, None)
        if last is None or value is None or key not in asked:
            continue
        exact = Decimal(str(round(value, 1)))
        told = format_temperature(exact, ground.units.temperature) if figure == "temp_c" else f"{exact:f}"
        read_at = datetime.fromtimestamp(last.step * STEP_S, tz=UTC)
        found[key] = {"value": told.split(" ")[0], "from": SENSOR, "at": read_at}
    return found


def _only_lot(piece: Piece, now: datetime) -> str:
    """Return the lot of the piece's glue, where a single pack within its date stands on the shelf."""
    glue = piece.inputs.get("glue") or ""
    packs = Supply.objects.filter(kind=Supply.Kind.GLUE, sheet=glue, discarded_at=None) if glue else ()
    views = supply_views(packs, today=timezone.localdate(now))
    usable = [view for view in views if not view["is_past"] and view["lot"]]
    return str(usable[0]["lot"]) if len(usable) == 1 else ""
