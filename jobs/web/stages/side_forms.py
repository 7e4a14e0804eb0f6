"""Forms beside the one of a stage: pause, skip, redo, correct, reopen."""

from typing import Any

from django.forms import BoundField, NumberInput
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.errors import CalcError
from jobs.core.errors import GateShut, Invalid, ShopError
from jobs.core.units import Units
from jobs.web.kit.forms import PageForm, WholeField, reason_field
from jobs.web.stages.gate_fields import Gate, measure_field


class ReopenForm(PageForm):
    reason = reason_field(gettext_lazy("Why it is reopened"))


class Beside(PageForm):
    """A form on a page with others: the ids of its fields differ from theirs."""

    name = ""

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = f"id_{self.name}_%s"


class ClockForm(Beside):
    """Pause, or resume."""

    name = "clock"


class TimeForm(Beside):
    """How long a finished stage took."""

    name = "time"
    minutes = WholeField(
        label=gettext_lazy("Minutes of work"), required=False, widget=NumberInput({"inputmode": "numeric"})
    )

    def asked(self) -> dict[str, Any]:
        asked = super().asked()
        if asked["minutes"] is None:
            raise Invalid("how long it took is missing", field="minutes", value="", allowed="whole minutes")
        return asked


class SkipForm(Beside):
    name = "skip"
    reason = reason_field(gettext_lazy("Why it is left out on this piece"))


class RedoForm(Beside):
    name = "redo"
    reason = reason_field(gettext_lazy("Why it is done again"))
    joints_ripped = WholeField(
        label=gettext_lazy("Joints ripped apart and jointed again"),
        required=False,
        help_text=gettext_lazy("Each costs width; the strips are laid out again. Empty: none"),
        widget=NumberInput({"inputmode": "numeric"}),
    )

    def asked(self) -> dict[str, Any]:
        asked = super().asked()
        return {**asked, "joints_ripped": asked["joints_ripped"] or 0}


class CorrectForm(Beside):
    """The correction of a measurement; outside its limits it needs a reason."""

    def __init__(self, data: Any = None, *, gate: Gate, units: Units, **more: Any) -> None:
        self.name = f"correct_{slugify(gate['key'])}"
        super().__init__(data, **more)
        self.gate = gate
        self.fields["value"] = measure_field(gate, units)
        self.fields["reason"] = reason_field(_("Why it was wrong"))
        self.fields["override"] = reason_field(_("Why you take it all the same"))

    @property
    def shown(self) -> list[BoundField]:
        """Return the fields; the last only where the value was refused for its limits."""
        override = self["override"]
        return [self["value"], self["reason"], *([override] if self.errors or override.value() else [])]

    def refuse(self, refused: ShopError | CalcError) -> None:
        if not isinstance(refused, GateShut):
            super().refuse(refused)
            return
        self.status = refused.status
        (shut,) = refused.extra["shut"]
        self.add_error(
            "value",
            _("%(title)s: %(value)s. Allowed: %(allowed)s.")
            % {"title": shut["title"], "value": shut["value"], "allowed": shut["allowed"]},
        )

    def field_of(self, name: str) -> str:
        key = self.gate["key"]
        return {f"measured.{key}": "value", f"override.{key}": "override"}.get(name, name)
