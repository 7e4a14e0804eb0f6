"""The order of test files and their workers: long ones first, real services one at a time."""

import pytest
from xdist.scheduler import LoadFileScheduling
from xdist.workermanage import WorkerController

SERVICES = ("tests/process/", "tests/launch/")
"""They start services of several processes and mostly wait: two at once disturb each other."""


def sort(items: list[pytest.Item]) -> None:
    """Put the files that take long first: started last, they would leave one worker alone with them."""
    seconds: dict[str, float] = {}
    for item in items:
        file = item.nodeid.partition("::")[0]
        told = item.get_closest_marker("takes")
        seconds[file] = max(seconds.get(file, 0), told.args[0] if told else 0)
    items.sort(key=lambda item: -seconds[item.nodeid.partition("::")[0]])


class OneServiceAtATime(LoadFileScheduling):
    """Give files with services to one worker, and the other files to the others."""

    def _assign_work_unit(self, node: WorkerController) -> None:
        """Assign the first fitting file, or the first of all if none fits."""
        elsewhere = any(self._holds_a_service(other) for other in self.nodes if other is not node)
        fitting = (file for file in self.workqueue if file.startswith(SERVICES) is not elsewhere)
        self.workqueue.move_to_end(next(fitting, next(iter(self.workqueue))), last=False)
        super()._assign_work_unit(node)

    def _holds_a_service(self, node: WorkerController) -> bool:
        held = self.assigned_work[node].items()
        return any(file.startswith(SERVICES) and not all(done.values()) for file, done in held)
