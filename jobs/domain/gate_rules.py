"""Gate rules: what a commission must have before a stage may end, each kept by the room that knows the fact.

A room puts its rules into a file named ``gate_rules.py``; every such file is read when the service starts.
"""

from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from jobs.models import Commission

Rule = Callable[[Commission], str]
"""Return an empty text where the rule holds, else what is missing."""
_rules: dict[str, Rule] = {}


def gate_rule(name: str) -> Callable[[Rule], Rule]:
    """Register a rule by the name that route files use."""

    def register(rule: Rule) -> Rule:
        _rules[name] = rule
        return rule

    return register


def gate_rules() -> dict[str, Rule]:
    """Return every rule by its name."""
    return dict(_rules)


def load() -> None:
    """Read the rules of every room."""
    for file in sorted(Path(__file__).parent.glob("*/gate_rules.py")):
        import_module(f"{__package__}.{file.parent.name}.gate_rules")
