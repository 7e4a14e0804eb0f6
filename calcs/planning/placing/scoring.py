"""Points of a plan while it is made: never more than the finished plan will have."""

from collections.abc import Sequence

from calcs.planning.placing.bookings import UNPLACED, Bookings
from calcs.planning.placing.grouping import Cluster
from calcs.planning.placing.model import Model

DROPPED = 10**9
"""Points of a maximum lag that is dropped: more than any plan has."""


class Scoring:
    """Points of commissions by their earliest possible ends, of unwanted slots and of moved starts.

    ``published`` are the starts that a move is counted from, one point a slot; -1 for a task without.
    """

    def __init__(self, model: Model, published: Sequence[int] | None = None) -> None:
        """Prepare for a model."""
        self.model = model
        self.published = published
        self.counts = [1] * len(model.problem.jobs) + [0]

    def first(self) -> int:
        """Return the points before any task is placed."""
        return sum(self.of_job(job, end) for job, end in enumerate(self.model.first_ends))

    def of_job(self, job: int, end: int) -> int:
        """Return the points of a commission that is complete at a slot."""
        late = end - self.model.due[job]
        return self.counts[job] * end + (self.model.late[job] * late if late > 0 else 0)

    def added(self, ends: list[int], book: Bookings, cluster: Cluster) -> int:
        """Return the points that a cluster just placed adds, and note the ends of its commissions."""
        model, points = self.model, 0
        for task in cluster.tasks:
            end = book.starts[task] + model.tails[task]
            job = model.job_of[task]
            if end > ends[job]:
                points += self.of_job(job, end) - self.of_job(job, ends[job])
                ends[job] = end
        if model.problem.unwanted:
            points += sum(self._unwanted(task, book.starts[task]) for task in cluster.tasks)
        if self.published is not None:
            points += sum(
                abs(book.starts[task] - self.published[task])
                for task in cluster.tasks
                if self.published[task] != UNPLACED
            )
        return points

    def _unwanted(self, task: int, start: int) -> int:
        slots = self.model.slots[task]
        worked = (self.model.problem.unwanted >> start) & ((1 << slots) - 1)
        return self.model.problem.unwanted_points * worked.bit_count()
