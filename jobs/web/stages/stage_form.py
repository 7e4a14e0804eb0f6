"""The forms of a stage: what its gates ask, and a reason beside each gate that fails."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField, Field, NumberInput
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.errors import CalcError
from calcs.kit.units import format_length
from jobs.core.errors import GateShut, Probably, SeveralClampings, ShopError
from jobs.core.units import Units
from jobs.domain.stages.clampings import KEY as CLAMPINGS
from jobs.domain.stages.commands import RECOAT
from jobs.web.kit.forms import (
    PageForm,
    WholeField,
    choice_field,
    moment_field,
    number_field,
    reason_field,
    text_field,
)
from jobs.web.kit.stored_translations import Text
from jobs.web.pieces.piece_form import yes_no

SUFFIXES = {"percent": "%", "minutes": "min", "count": "", "code": "", "yes": ""}
Gate = dict[str, Any]
DECIDE = gettext_lazy("Change something, or say why it is glued in one go all the same.")


@dataclass(kw_only=True)
class Group:
    """One gate on the screen: its measurement, and the reason that overrides a failure."""

    key: str
    title: str
    measure: BoundField | None
    reason: BoundField | None
    says: Text


class StageForm(PageForm):
    """Start or finish of a stage. ``held`` are the waits that hold it, by title."""

    when = moment_field(gettext_lazy("When it happened"), help_text=gettext_lazy("Empty: now"))

    def __init__(
        self,
        data: Any = None,
        *,
        gates: list[Gate],
        moment: str,
        units: Units,
        held: Iterable[dict[str, Any]] = (),
        clamps: Iterable[dict[str, Any]] = (),
        several: Sequence[object] | None = None,
        **more: Any,
    ) -> None:
        super().__init__(data, **more)
        self.moment = moment
        self.clamp_names = [self._offer(one, units) for one in clamps]
        self.asked_gates = [g for g in gates if g["at"] == moment]
        self.titles = {g["key"]: g["title"] for g in self.asked_gates}
        self.sources = [f"{g['title']}: {g['source']}" for g in self.asked_gates if g.get("source")]
        self.shut: dict[str, Text] = {}
        for wait in held:
            self._hold(wait)
        if several is not None:
            self.titles = {CLAMPINGS: _("Glue in one go"), **self.titles}
        if several:
            self.shut[CLAMPINGS] = DECIDE
        for gate in self.asked_gates:
            if "unit" in gate:
                self.fields[f"measured.{gate['key']}"] = measure_field(gate, units)
        self.names = {key: f"override.{slugify(key.replace(':', '-'))}" for key in self.titles}
        for key, name in self.names.items():
            self.fields[name] = reason_field(
                _("Go on all the same: why (%(what)s)") % {"what": self.titles[key].lower()}
            )
        self.asks_long_ago = choice_field(
            _("So long ago"), (("", _("no")), ("yes", _("yes, it happened then")))
        )
        if "long_ago" in (data or {}):
            self.fields["long_ago"] = self.asks_long_ago
        if moment == "finish":
            self.fields["minutes"] = WholeField(
                label=_("Minutes of work"),
                required=False,
                widget=NumberInput({"inputmode": "numeric"}),
                help_text=_("Empty: counted from the start"),
            )
            self.fields["remark"] = text_field(_("Remark"), lines=2)

    def _offer(self, one: dict[str, Any], units: Units) -> str:
        """Add a field for how many of these clamps the stage takes; return its name."""
        name = f"clamps.{one['id']}"
        holders = "".join(
            "; "
            + _("%(piece)s %(title)s holds %(count)s")
            % {"piece": h["piece"], "title": h["title"], "count": h["count"]}
            for h in one["held_by"]
        )
        self.fields[name] = WholeField(
            label=f"{one['name'] or _('Clamps')}, {format_length(one['reach_len'], units.length)}",
            required=False,
            widget=NumberInput({"inputmode": "numeric"}),
            help_text=_("%(free)s of %(count)s are free") % {"free": one["free"], "count": one["count"]}
            + holders,
        )
        return name

    @property
    def clamp_fields(self) -> list[BoundField]:
        return [self[name] for name in self.clamp_names]

    @property
    def clamps_wrong(self) -> bool:
        return any(self[name].errors for name in self.clamp_names)

    def _clamps(self, asked: dict[str, Any]) -> dict[str, int]:
        return {name.removeprefix("clamps."): asked[name] for name in self.clamp_names if asked[name]}

    def _hold(self, wait: dict[str, Any]) -> None:
        """Add the two gates of a wait: it still runs, or its window has closed."""
        for word in ("wait", "window"):
            self.titles[f"{word}:{wait['kind']}"] = wait["title"]
        if not wait["may_begin"]:
            self.shut[f"wait:{wait['kind']}"] = _("%(title)s: not over yet") % {"title": wait["title"]}
        elif wait["is_missed"]:
            says = _("%(title)s: its window has closed")
            if wait["kind"] == RECOAT:
                says = _(
                    "%(title)s: its window has closed. Starting puts abrading first, unless you say why not"
                )
            self.shut[f"window:{wait['kind']}"] = says % {"title": wait["title"]}

    @property
    def groups(self) -> list[Group]:
        """Return the gates in order, then the waits; a reason is asked where one fails or was typed."""
        return [self._group(key) for key in self.titles if self._shown(key)]

    def _shown(self, key: str) -> bool:
        return f"measured.{key}" in self.fields or key in self.shut or bool(self[self.names[key]].value())

    def _group(self, key: str) -> Group:
        reason = self[self.names[key]]
        measure = f"measured.{key}"
        return Group(
            key=key,
            title=self.titles[key],
            measure=self[measure] if measure in self.fields else None,
            reason=reason if key in self.shut or reason.value() or reason.errors else None,
            says=self.shut.get(key, ""),
        )

    def asked(self) -> dict[str, Any]:
        """Return what the command takes: measurements, overrides and clamps, each by its key."""
        typed = super().asked()
        plain: dict[str, Any] = {name: typed[name] for name in ("when", "minutes", "remark") if name in typed}
        more = {"clamps": self._clamps(typed)} if self.moment == "start" else {}
        meant = typed.get("long_ago") == "yes"
        passed = {"measured": self._measured(typed), "override": self._override(typed)}
        return {**plain, **more, **passed, "long_ago": meant}

    def _measured(self, asked: dict[str, Any]) -> dict[str, str]:
        found = {n.removeprefix("measured."): v for n, v in asked.items() if n.startswith("measured.")}
        return {key: value for key, value in found.items() if value}

    def _override(self, asked: dict[str, Any]) -> dict[str, str]:
        return {key: asked[name] for key, name in self.names.items() if asked[name]}

    def refuse(self, refused: ShopError | CalcError) -> None:
        """Show beside each failed gate what is wrong, and ask its reason."""
        if isinstance(refused, Probably):
            self.fields[refused.field] = self.asks_long_ago
        if isinstance(refused, SeveralClampings) and CLAMPINGS in self.titles:
            self.status = refused.status
            self.shut[CLAMPINGS] = DECIDE
            decide = _("%(why)s. Decide how it is glued before you start.") % {"why": refused.detail}
            self.add_error(None, decide)
            return
        if not isinstance(refused, GateShut):
            super().refuse(refused)
            return
        self.status = refused.status
        for shut in refused.extra["shut"]:
            key = shut["key"]
            if key not in self.names:
                self.add_error(
                    None,
                    _("%(title)s: %(value)s. Allowed: %(allowed)s.")
                    % {"title": shut["title"], "value": shut["value"], "allowed": shut["allowed"]},
                )
                continue
            self.shut[key] = _("%(title)s: %(value)s. Allowed: %(allowed)s.") % {
                "title": shut["title"],
                "value": shut["value"],
                "allowed": shut["allowed"],
            }
        self.add_error(None, _("Not every gate is open. Measure again, or say why you go on all the same."))

    def field_of(self, name: str) -> str:
        if name.startswith("override."):
            return self.names.get(name.removeprefix("override."), "")
        return {"at": "when"}.get(name, name)


def measure_field(gate: Gate, units: Units) -> Field:
    """Return a field for one measurement, with its allowed range beside it."""
    if gate["unit"] == "yes":
        return yes_no(gate["title"])
    hint = (
        _("Allowed: %(allowed)s.") % {"allowed": gate["allowed"]}
        if gate["unit"] != "code"
        else _("As it stands on the pack.")
    )
    suffix = {"length": units.length, "celsius": f"°{units.temperature}"}.get(gate["unit"])
    if suffix is None:
        suffix = SUFFIXES[gate["unit"]]
    if gate["unit"] in ("length", "code"):
        return text_field(gate["title"], help_text=hint, suffix=suffix, autocomplete="off")
    return number_field(gate["title"], help_text=hint, suffix=suffix, autocomplete="off")
