"""What was left open at the clamps is said afterwards."""

from jobs import gates
from jobs.commands.commissions import refuse_if_ended
from jobs.commands.follow_up import append_stage
from jobs.commands.stage_rules import ground, kept, refuse_as_done, the_stage, warn_of_lots
from jobs.core.errors import Invalid
from jobs.domain.checks import title_of
from jobs.gates import Units
from jobs.log.commands import Writing, command
from jobs.route_state import RouteState
from jobs.still_asked import still_asked


@command
def add_measurement(
    log: Writing, *, piece: str, stage: str, gate: str, units: Units, value: str = "", override: str = ""
) -> None:
    """Record a measurement that a stage still asks.

    A value outside its limits needs a reason in ``override``; so does none at all, where nobody knows it.
    """
    found = the_stage(log, piece, stage)
    refuse_if_ended(found.piece.commission)
    asked = [g for g in still_asked(found) if g["key"] == gate]
    if not asked:
        open_ones = ", ".join(g["key"] for g in still_asked(found)) or "nothing is still asked here"
        if gate in found.measured or gate in found.overrides:
            says, kind = f"{gate} of {title_of(found)} was said", "measurement_added"
            refuse_as_done(found, says, field="gate", value=gate, allowed=open_ones, kind=kind)
        raise Invalid("this is not asked here", field="gate", value=gate, allowed=open_ones)
    passed = gates.check(
        asked,
        "finish",
        {gate: value},
        {gate: override} if override else {},
        ground(log, RouteState(found.piece), units),
    )
    append_stage(
        log,
        "measurement_added",
        found,
        {"gate": gate, "value": passed.measured.get(gate), "overrides": kept(passed.overrides)},
    )
    warn_of_lots(log, passed.measured, found)
