"""Every kind of reminder by its key: one class each, in a module of this folder, which a loop finds."""

from importlib import import_module
from pkgutil import iter_modules

from jobs.domain.reminders.kinds.base import ReminderKind, SubjectKind, TaskKind, WaitKind, registered

for module in iter_modules(__path__):
    import_module(f"{__name__}.{module.name}")

KINDS: dict[str, ReminderKind] = {kind.key: kind for kind in registered()}
"""In the order in which people see them."""
WAIT_KINDS = {key: kind for key, kind in KINDS.items() if isinstance(kind, WaitKind)}
TASK_KINDS = {key: kind for key, kind in KINDS.items() if isinstance(kind, TaskKind)}
SUBJECT_KINDS = {key: kind for key, kind in KINDS.items() if isinstance(kind, SubjectKind)}
SUPERSEDES = {key: kind.supersedes for key, kind in WAIT_KINDS.items() if kind.supersedes}
"""Kind -> the earlier kind of the same wait that it supersedes."""
ANSWERED = tuple(key for key, kind in KINDS.items() if kind.is_answered)
"""The keys of the kinds that a person acknowledges or snoozes."""
