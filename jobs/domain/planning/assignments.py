"""Who does what: a stage is given to a person, or to nobody alone."""

from jobs.core.errors import AlreadyDone, Invalid, WrongState
from jobs.domain.checks import title_of
from jobs.domain.stages.preconditions import the_stage
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Person, Stage

OVER = (Stage.Step.DONE, Stage.Step.SKIPPED)


def people_here() -> list[Person]:
    """Return everybody who works here, by name."""
    return list(Person.objects.filter(is_active=True).order_by("name", "username"))


@command
def give_stage(tx: CommandTransaction, *, piece: str, stage: str, person: str = "") -> None:
    """Give a stage to a person; an empty one takes it back."""
    found = the_stage(tx, piece, stage)
    if found.step in OVER:
        raise WrongState(
            f"{title_of(found)} is {found.step}", field="stage", value=stage, allowed="a stage still to do"
        )
    if person and not Person.objects.filter(id=person, is_active=True).exists():
        raise Invalid("nobody here has this key", field="person", value=person[:40], allowed="a person here")
    if found.given_to == person:
        raise AlreadyDone("it is so already", field="person", value=person, allowed="another person")
    append_stage(tx, "stage_given", found, {"person": person})
