"""Measurements that may come after the clamps: glue that sets does not wait for a lot number.

Finishing such a stage always saves, so that its clock starts at the tap. What was left empty, or was outside
its limits, is asked afterwards. What has to be known before the clamps is a gate at the start.
"""

from typing import Any

from jobs.models import Stage

GLUE_CLOCK = "glue."
CLAMPS = "clamps"


def at_the_clamps(stage: Stage) -> bool:
    """Return whether hands leave glue that sets: the finish starts its clock."""
    spec = stage.spec
    glued = any(wait["clock"].startswith(GLUE_CLOCK) for wait in spec["waits"])
    return not spec["passive"] and (glued or (spec["place"] == CLAMPS and bool(spec["waits"])))


def still_asked(stage: Stage) -> list[dict[str, Any]]:
    """Return the gates of a finished stage that have neither a measurement nor a reason.

    A stage that was finished together with its sister counts no minutes, and nobody is asked about it.
    """
    if stage.step not in (Stage.Step.WAITING, Stage.Step.DONE) or stage.minutes is None:
        return []
    if not at_the_clamps(stage):
        return []
    given = {*stage.measured, *stage.overrides}
    return [g for g in stage.spec["gates"] if g["at"] == "finish" and "unit" in g and g["key"] not in given]
