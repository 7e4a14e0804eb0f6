"""Keep one unit of the two in which calculations write a figure: the person's own."""

from jobs.core.units import in_units
from jobs.models import Person
from jobs.web.kit.calls import units_of


def own_units(text: str, person: Person) -> str:
    """Return the text with each figure in the person's own unit alone."""
    return in_units(text, units_of(person))
