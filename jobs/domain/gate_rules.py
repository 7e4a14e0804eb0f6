"""Gate rules: conditions on a commission that a gate names, each in the room that knows the fact.

A room puts its rules into a file named ``gate_rules.py``. The service imports every such file when it starts.
"""

from collections.abc import Callable

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
    """Return every gate rule by its name."""
    return dict(_rules)
