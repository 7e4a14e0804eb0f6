"""The forms of a stage: what its gates ask, and a reason beside each gate that fails."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.forms import BoundField, NumberInput
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.errors import CalcError
from calcs.kit.units import format_length
from jobs.core.errors import GateShut, Probably, SeveralClampings, ShopError
from jobs.core.units import Units
from jobs.domain.stages.clampings import KEY as CLAMPINGS
from jobs.domain.stages.gates import NOT_GIVEN
from jobs.domain.stages.route_edits import RECOAT
from jobs.web.kit.forms import (
    PageForm,
    WholeField,
    choice_field,
    moment_field,
    reason_field,
    text_field,
)
from jobs.web.kit.stored_translations import Text
from jobs.web.stages.gate_fields import (
    Gate,
    Group,
    kept_words,
    known_words,
    limit_words,
    measure_field,
    refusal_words,
    tick_field,
    unmeasured,
)

DECIDE = gettext_lazy("Change something, or say why it is glued in one go all the same.")


MOMENTS = {"start": ("start",), "finish": ("finish",), "do": ("start", "finish")}
"""Whose gates each form asks."""


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
        known: Mapping[str, dict[str, Any]] | None = None,
        **more: Any,
    ) -> None:
        self.known = {} if data is not None else known or {}
        filled = {f"measured.{key}": one["value"] for key, one in self.known.items()}
        super().__init__(data, initial=filled, **more)
        self.moment = moment
        self.form_id = f"{moment}-form"
        self.auto_id = "id_do_%s" if moment == "do" else "id_%s"
        self.clamp_names = [self._offer(one, units) for one in clamps]
        self.asked_gates = [g for g in gates if g["at"] in MOMENTS[moment]]
        self.titles = {g["key"]: g["title"] for g in self.asked_gates}
        self.sources = [f"{g['title']}: {g['source']}" for g in self.asked_gates if g.get("source")]
        self.sources += [f"{g['title']}: {says}" for g in self.asked_gates if (says := unmeasured(g))]
        self.by_key = {g["key"]: g for g in self.asked_gates}
        self.shut: dict[str, Text] = {}
        self.refused_gates: list[dict[str, Any]] = []
        for wait in held:
            self._hold(wait)
        if several is not None:
            self.titles = {CLAMPINGS: _("Glue in one go"), **self.titles}
        if several:
            self.shut[CLAMPINGS] = DECIDE
        for gate in self.asked_gates:
            if "unit" in gate:
                tick = gate["unit"] == "yes"
                self.fields[f"measured.{gate['key']}"] = (
                    tick_field(gate) if tick else measure_field(gate, units)
                )
        self.names = {key: f"override.{slugify(key.replace(':', '-'))}" for key in self.titles}
        for key, name in self.names.items():
            self.fields[name] = reason_field(
                _("Why you go on all the same: %(what)s") % {"what": self.titles[key].lower()}
            )
        self.asks_long_ago = choice_field(
            _("So long ago"), (("", _("no")), ("yes", _("yes, it happened then")))
        )
        if "long_ago" in (data or {}):
            self.fields["long_ago"] = self.asks_long_ago
        if moment != "start":
            self.fields["minutes"] = WholeField(
                label=_("Minutes of work"),
                required=False,
                widget=NumberInput({"inputmode": "numeric"}),
                help_text=_("Empty: counted from the start") if moment == "finish" else "",
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
        reason, measure = self[self.names[key]], f"measured.{key}"
        gate, known = self.by_key.get(key, {}), self.known.get(key)
        passed = key in self.shut or bool(reason.value())
        judged = bool(self.refused_gates) and not passed and measure in self.fields
        return Group(
            key=key,
            title=self.titles[key],
            unit=gate.get("unit", ""),
            measure=self[measure] if measure in self.fields else None,
            reason=reason if key in self.shut or reason.value() or reason.errors else None,
            says=self.shut.get(key, ""),
            limit=limit_words(gate) if gate else "",
            known=known_words(known) if known else "",
            good=judged or bool(known and known["holds"]),
            form_id=self.form_id,
        )

    @property
    def asks(self) -> bool:
        """Return whether the form asks anything that a tap does not say."""
        return any(group.measure for group in self.groups)

    @property
    def open_tiles(self) -> list[Group]:
        """Return the measurements, those that refused among them."""
        return [group for group in self.groups if group.measure]

    @property
    def lifted_when(self) -> SafeString:
        """Return the field of the time, to stand away from its form."""
        return self["when"].as_widget(attrs={"form": self.form_id})

    @property
    def lifted_long_ago(self) -> SafeString:
        return self["long_ago"].as_widget(attrs={"form": self.form_id})

    @property
    def only_ticks(self) -> bool:
        return all(group.unit == "yes" for group in self.open_tiles)

    @property
    def may_tick_all(self) -> bool:
        """Return whether several ticks are asked, which one tap may give."""
        return sum(group.unit == "yes" and not group.is_shut for group in self.open_tiles) > 1

    @property
    def given(self) -> int:
        """Return how many measurements stand in the form already and pass."""
        return sum(group.good for group in self.open_tiles)

    @property
    def in_the_way(self) -> list[Group]:
        """Return the gates that refused, or that a wait keeps shut."""
        return [group for group in self.groups if group.is_shut]

    @property
    def is_one_answer(self) -> bool:
        """Return whether a single answer is missing, which the row of the button asks."""
        typed = [group for group in self.in_the_way if group.measure and group.unit != "yes"]
        return len(typed) == len(self.in_the_way) == 1 and not self.asks_if_long_ago

    @property
    def only_reasons_help(self) -> bool:
        """Return whether nothing that is typed opens what is shut but a reason."""
        return all(group.measure is None for group in self.in_the_way)

    @property
    def asks_if_long_ago(self) -> bool:
        return "long_ago" in self.fields

    @property
    def refusal_words(self) -> str:
        return refusal_words(self.moment, self.refused_gates, self.by_key)

    @property
    def kept_words(self) -> str:
        return kept_words(self.groups)

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
        self.refused_gates = refused.extra["shut"]
        for shut in self.refused_gates:
            key = shut["key"]
            if key not in self.names:
                self.add_error(
                    None,
                    _("%(title)s: %(value)s. Allowed: %(allowed)s.")
                    % {"title": shut["title"], "value": shut["value"], "allowed": shut["allowed"]},
                )
                continue
            gate = self.by_key.get(key, {})
            if shut["value"] == NOT_GIVEN:
                self.shut[key] = limit_words(gate)
                continue
            self.shut[key] = _("%(title)s: %(value)s. Allowed: %(allowed)s.") % {
                "title": shut["title"],
                "value": shut["value"],
                "allowed": shut["allowed"],
            }

    def field_of(self, name: str) -> str:
        if name.startswith("override."):
            return self.names.get(name.removeprefix("override."), "")
        return {"at": "when"}.get(name, name)
