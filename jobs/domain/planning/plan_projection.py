"""What a plan follows: the kinds of event after which it is made again."""

from functools import partial

from django.db import transaction

from jobs.core import broker
from jobs.domain.planning.publishing import MATTER, PLAN, forget
from jobs.log.projectors import Turn, projects, refills
from jobs.models import Event


@projects(Turn.PLAN, *MATTER)
def follow(events: list[Event]) -> None:
    """Wake the worker, which makes the plan again; without it, the next sweep finds that one is due."""
    transaction.on_commit(partial(broker.wake, PLAN))


refills(Turn.PLAN)(forget)
