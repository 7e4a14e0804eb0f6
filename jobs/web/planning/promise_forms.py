"""Forms that ask the plan: when can this be promised, and what if. They save nothing."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.core.parsing import to_decimal
from jobs.core.units import Units
from jobs.domain.promising.asked import BUY, RACK, Asked
from jobs.domain.promising.choices import Choices
from jobs.domain.promising.what_if import WhatIf, reach_of
from jobs.web.kit.forms import PageForm, WholeField, choice_field, date_field, number_field, text_field

WOODS = ((RACK, gettext_lazy("On the rack, settled")), (BUY, gettext_lazy("To be bought, then it settles")))
LIKE_NONE = (("", gettext_lazy("Its own pieces")),)
ASKS = "ask"
"""Marks an address that asks for an answer, beside one that shows an empty form."""


class AskForm(PageForm):
    """A form whose answer is shown below it; the address holds what is asked."""

    def __init__(self, typed: QueryDict, **initial: Any) -> None:
        asks = ASKS in typed
        data = typed.copy() if asks else None
        if data is not None:
            data.pop(ASKS)
        super().__init__(data, initial={**initial, **({} if asks else typed.dict())})

    @property
    def said_wrong(self) -> str:
        """Return in one line why there is no answer; empty where there is one."""
        found = []
        for name, errors in self.errors.items():
            says = " ".join(map(str, errors))
            found.append(f"{self.fields[name].label}: {says}" if name in self.fields else says)
        return " ".join(found)


class PromiseForm(AskForm):
    """What is to be promised: a commission's own pieces, or a piece like an earlier one."""

    commission = choice_field(gettext_lazy("For"), ())
    like = choice_field(gettext_lazy("Like"), ())
    wood = forms.ChoiceField(label=gettext_lazy("Wood"), choices=WOODS, required=False, widget=forms.Select)
    finish = choice_field(gettext_lazy("Finish"), ())
    hours = number_field(
        gettext_lazy("Hours"), suffix=gettext_lazy("hours"), autocomplete="off",
        help_text=gettext_lazy("Empty: as the shop's log says"),
    )  # fmt: skip
    day = date_field(gettext_lazy("They ask for"), help_text=gettext_lazy("May stay empty"))

    def __init__(self, typed: QueryDict, choices: Choices) -> None:
        super().__init__(typed, wood=RACK)
        self.offer("commission", [("", _("A piece not quoted yet")), *choices.commissions])
        self.offer("like", [*LIKE_NONE, *choices.pieces])
        self.offer("finish", [("", _("As it is")), *choices.finishes])

    def said(self) -> Asked:
        """Return what is asked, as the domain takes it."""
        asked = self.asked()
        hours = to_decimal(asked["hours"], "hours") if asked["hours"] else None
        return Asked(**{**asked, "wood": asked["wood"] or RACK, "hours": hours})


class WhatIfForm(AskForm):
    """What could change: each group may stay empty."""

    away = choice_field(gettext_lazy("Who is away"), ())
    away_from = date_field(gettext_lazy("From"))
    away_until = date_field(gettext_lazy("Until"), help_text=gettext_lazy("Empty: that day alone"))
    first = choice_field(gettext_lazy("Put first"), ())
    overtime_on = date_field(gettext_lazy("Work on"))
    overtime_hours = WholeField(label=gettext_lazy("Hours"), required=False)
    overtime_by = choice_field(gettext_lazy("Who works"), ())
    glue = choice_field(gettext_lazy("Glue up with"), ())
    glue_for = choice_field(gettext_lazy("Of"), ())
    clamps = WholeField(label=gettext_lazy("Clamps rented"), required=False)
    reach = text_field(gettext_lazy("Each reaches"), autocomplete="off")
    accept = choice_field(gettext_lazy("Accept"), ())
    accept_for = date_field(gettext_lazy("Promised for"))

    USUAL: ClassVar[dict[str, Any]] = {"overtime_hours": "4"}

    def __init__(self, typed: QueryDict, choices: Choices, units: Units) -> None:
        super().__init__(typed, **self.USUAL)
        self.units = units
        nothing = ("", _("Nothing"))
        self.offer("away", [("", _("Nobody")), *choices.people])
        self.offer("first", [nothing, *choices.planned])
        self.offer("overtime_by", [("", _("Everybody")), *choices.people])
        self.offer("glue", [("", _("As planned")), *choices.glues])
        self.offer("glue_for", [("", _("Everything not glued yet")), *choices.planned])
        self.offer("accept", [nothing, *choices.commissions])
        self.show_unit("reach", units.length)

    @property
    def shown_groups(self) -> list[tuple[str, list[Any], bool]]:
        """Return the groups, each with whether it is open: those typed into or wrong, else the first."""
        found = [(title, fields, any(map(self._is_told, fields))) for title, fields in self.groups]
        if not any(opened for *_, opened in found):
            found[0] = (*found[0][:2], True)
        return found

    def _is_told(self, field: Any) -> bool:
        value = field.value()
        return bool(field.errors) or bool(value and value != self.USUAL.get(field.name))

    @property
    def groups(self) -> list[tuple[str, list[Any]]]:
        """Return the fields by what they change, each with its title."""
        return [
            (title, [self[name] for name in names])
            for title, names in (
                (_("Somebody is away"), ("away", "away_from", "away_until")),
                (_("This one first"), ("first",)),
                (_("Overtime"), ("overtime_on", "overtime_hours", "overtime_by")),
                (_("Another glue"), ("glue", "glue_for")),
                (_("A rented set of clamps"), ("clamps", "reach")),
                (_("One more commission"), ("accept", "accept_for")),
            )
        ]

    def said(self) -> WhatIf:
        """Return the changes, as the domain takes them."""
        asked: Mapping[str, Any] = self.asked()
        given = {name: value for name, value in asked.items() if name != "reach"}
        if asked["overtime_on"] is None:
            given |= {"overtime_hours": None, "overtime_by": ""}
        return WhatIf(**given, reach_len=reach_of(asked["reach"], self.units))
