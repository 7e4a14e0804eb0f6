"""Measurements left open at the clamps: finish without them, and the forms that ask them afterwards."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.forms import BoundField
from django.utils.text import slugify
from django.utils.translation import gettext as _

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.log.commands import CommandResult
from jobs.web.kit.forms import PageForm, sentence
from jobs.web.stages.gate_fields import Gate
from jobs.web.stages.side_forms import CorrectForm


class SayForm(CorrectForm):
    """One measurement that was left open at the clamps."""

    def __init__(self, data: Any = None, *, gate: Gate, units: Units, **more: Any) -> None:
        super().__init__(data, gate=gate, units=units, **more)
        self.name = f"say_{slugify(gate['key'])}"
        self.auto_id = f"id_{self.name}_%s"
        del self.fields["reason"]
        self.fields["override"].label = _("Why it is not known, or taken all the same")

    @property
    def shown(self) -> list[BoundField]:
        """Return the value; and the reason once the value was refused."""
        override = self["override"]
        return [self["value"], *([override] if self.errors or override.value() else [])]


def say_forms(
    stage: dict[str, Any], *, units: Units, seen: int, refused: PageForm | None = None
) -> list[SayForm]:
    """Return a form for each measurement that a stage still lacks; a refused one keeps what was typed."""
    gates = {gate["key"]: {"unit": "yes", **gate} for gate in stage["gates"]}  # a rule is answered by yes
    typed = {refused.gate["key"]: refused} if isinstance(refused, SayForm) else {}
    return [
        typed.get(key) or SayForm(gate=gates[key], units=units, seen=seen) for key in stage["still_asked"]
    ]


def without_unreadable(
    do: Callable[..., CommandResult], asked: dict[str, Any], titles: dict[str, str]
) -> CommandResult:
    """Finish without the measurements that cannot be parsed, and say so; they stay open."""
    measured, told = dict(asked["measured"]), []
    while True:
        try:
            done = do(**{**asked, "measured": measured})
        except (Invalid, CalcError) as wrong:
            key = wrong.field.removeprefix("measured.")
            if key not in measured:
                raise
            told.append(f"{titles.get(key, key)}: {measured.pop(key)[:60]}. {sentence(wrong)}")
        else:
            return replace(done, notices=[*told, *done.notices])
