"""Who does which work: at the places of the routes, and heavy lifting."""

from collections.abc import Collection, Mapping

from jobs.core.errors import Invalid
from jobs.domain.checks import no_others, one_of
from jobs.models import WorkingHours

LIFTING = "heavy lifting"
WORK = ("machines", "bench", "clamps", "finishing room", "road", "office", LIFTING)
"""Work that a person may leave to others: by the place of its stage; lifting what needs two people."""
NEVER, NOT_ALONE = "no", "not alone"
LIMITS = (NEVER, NOT_ALONE)


def read_limits(limits: Mapping[str, str]) -> dict[str, str]:
    """Return the limits of a person; refuse unknown work, and any other limit."""
    if not isinstance(limits, Mapping):
        raise Invalid("not limits by work", field="limits", value=str(limits)[:60], allowed=", ".join(WORK))
    no_others(limits, WORK, "no such work")
    for work, limit in limits.items():
        one_of(limit, LIMITS, field=f"limits.{work}", shown=40)
    return dict(sorted(limits.items()))


def limits_of(person_ids: Collection[str]) -> dict[str, dict[str, str]]:
    """Return the work that each person does not do or not alone: ``{"clamps": "not alone"}``.

    Work that is not named they do alone. Its names are the places of stages, and ``LIFTING``.
    """
    found = dict(WorkingHours.objects.filter(person__in=person_ids).values_list("person", "limits"))
    return {one: dict(found.get(one) or {}) for one in person_ids}
