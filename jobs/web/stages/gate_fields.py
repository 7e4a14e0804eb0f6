"""The gates of a stage on its page: a tile for each measurement, and what refused in words."""

from dataclasses import dataclass
from typing import Any

from django.forms import BoundField, CheckboxInput, ChoiceField, Field
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.core.units import Units
from jobs.domain.commissions.stage_card import CLIENT, SHELF
from jobs.domain.stages.gates import NOT_GIVEN
from jobs.web.kit.formatting import near_words
from jobs.web.kit.forms import number_field, text_field
from jobs.web.kit.stored_translations import Text
from jobs.web.pieces.piece_form import yes_no

SUFFIXES = {"percent": "%", "minutes": "min", "count": "", "code": "", "yes": ""}
Gate = dict[str, Any]
UNMEASURED = "no readings"
"""How a gate begins to say that it has nothing to compare a value with: no limit."""
PLAIN: dict[str, Any] = {"autocomplete": "off", "placeholder": " "}
"""Attributes of a measured field; the placeholder lets a style tell that it is empty."""
NOT_DONE = {
    "start": gettext_lazy("Not started"),
    "finish": gettext_lazy("Not finished"),
    "do": gettext_lazy("Not done"),
}


class CheckBox(CheckboxInput):  # named so that Django calls its fields "checkbox"
    """A tick that sends "yes"; an older form may send "no"."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, check_test=lambda value: value == "yes")

    def format_value(self, value: Any) -> str:
        return "yes"

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        return data.get(name, "")


@dataclass(kw_only=True)
class Group:
    """One gate on the screen: its measurement, and the reason that overrides a failure."""

    key: str
    title: str
    unit: str
    measure: BoundField | None
    reason: BoundField | None
    says: Text
    limit: Text
    known: str
    """Where the value comes from that the field holds already, or nothing."""
    good: bool
    """Whether the value in the field is known to pass."""
    form_id: str

    @property
    def is_shut(self) -> bool:
        return bool(self.says)

    @property
    def lifted(self) -> SafeString:
        """Return the field of a refused measurement, to stand beside the button and away from its form."""
        assert self.measure is not None
        return self.measure.as_widget(attrs={"form": self.form_id})

    @property
    def lifted_reason(self) -> SafeString:
        """Return the field of the reason, to stand there too."""
        assert self.reason is not None
        return self.reason.as_widget(attrs={"form": self.form_id})


def limit_words(gate: Gate) -> Text:
    """Return what a gate allows, as it stands under the value."""
    if gate.get("unit") == "yes":
        return _("Tick it")
    if gate.get("unit") == "code":
        return _("It stands on the pack")
    return "; ".join(clause for clause in _clauses(gate) if not clause.startswith(UNMEASURED))


def unmeasured(gate: Gate) -> str:
    """Return what a gate has nothing to compare with, or nothing."""
    return "; ".join(clause for clause in _clauses(gate) if clause.startswith(UNMEASURED))


def _clauses(gate: Gate) -> list[str]:
    return str(gate.get("allowed", "")).split("; ")


def known_words(known: dict[str, Any]) -> str:
    """Return where a value comes from that the shop knew already."""
    if known["from"] == CLIENT:
        return _("yes of %(at)s") % {"at": near_words(known["at"], timezone.now())}
    if known["at"]:
        return _("sensor %(at)s") % {"at": near_words(known["at"], timezone.now())}
    return _("the pack on the shelf") if known["from"] == SHELF else _("from the boards")


def in_a_sentence(title: str) -> str:
    """Return a title as it stands within a sentence."""
    return title[:1].lower() + title[1:]


def tick_field(gate: Gate) -> Field:
    return ChoiceField(
        label=gate["title"], required=False, choices=[("yes", _("Yes")), ("no", _("No"))], widget=CheckBox
    )


def measure_field(gate: Gate, units: Units) -> Field:
    """Return a field for one measurement, with its allowed range beside it."""
    if gate["unit"] == "yes":
        return yes_no(gate["title"])
    hint = limit_words(gate)
    suffix = {"length": units.length, "celsius": f"°{units.temperature}"}.get(gate["unit"])
    if suffix is None:
        suffix = SUFFIXES[gate["unit"]]
    if gate["unit"] in ("length", "code"):
        return text_field(gate["title"], help_text=hint, suffix=suffix, **PLAIN)
    return number_field(gate["title"], help_text=hint, suffix=suffix, **PLAIN)


def refusal_words(moment: str, shut: list[dict[str, Any]], gates: dict[str, Gate]) -> str:
    """Return what did not happen, and what is missing or in the way."""
    told: dict[str, object] = {"not": NOT_DONE[moment], "count": len(shut)}
    missing = [one for one in shut if one["value"] == NOT_GIVEN]
    if len(shut) != 1:
        all_missing = shut and len(missing) == len(shut)
        says = _("%(not)s: %(count)s answers are missing") if all_missing else _("%(not)s: see below")
        return says % told
    gate, told["value"] = gates.get(shut[0]["key"], {}), shut[0]["value"]
    told["what"] = in_a_sentence(shut[0]["title"])
    if missing:
        unticked = gate.get("unit") == "yes"
        says = _("%(not)s: one thing is not ticked") if unticked else _("%(not)s: the %(what)s is missing")
        return says % told
    return (_("%(not)s: %(value)s") if "rule" in gate else _("%(not)s: %(what)s, %(value)s")) % told


def kept_words(groups: list[Group]) -> str:
    """Return that what else was answered is kept; nothing where nothing was."""
    kept = sum(bool(group.measure and group.measure.value()) for group in groups if not group.is_shut)
    says = ngettext("The other answer is kept.", "The other %(kept)s answers are kept.", kept)
    return says % {"kept": kept} if kept else ""
