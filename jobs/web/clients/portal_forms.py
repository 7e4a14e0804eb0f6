"""Forms of a client's page. Each carries the signed mark of the page that it was on."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.clients.updates import LONGEST_QUESTION
from jobs.web.kit.forms import PageForm, WholeField, text_field

PICK, MOST_PICKS, LONGEST_KEY = "pick-", 100, 19


class AcceptForm(PageForm):
    """The version shown, one choice for each thing that can be chosen, and the name of who accepts."""

    mark = text_field("")
    version = WholeField()
    name = text_field(gettext_lazy("Your name"))

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.picks = [name for name in data or {} if name.startswith(PICK)][:MOST_PICKS]
        for name in self.picks:
            self.fields[name] = WholeField(required=False)

    @property
    def chosen(self) -> list[int]:
        """Return the positions of the alternatives that are ticked; none stands for what was quoted."""
        return [found for name in self.picks if (found := self.cleaned_data.get(name))]

    def asked(self) -> dict[str, Any]:
        told = {name: value for name, value in super().asked().items() if name not in self.picks}
        return {**told, "chosen": self.chosen}


class ApproveForm(PageForm):
    """What is ticked: the key of each thing that was asked, with the mark of what was shown."""

    mark = text_field("")
    approve = forms.MultipleChoiceField(required=False)

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        ticked = data.getlist("approve")[:MOST_PICKS] if data else []
        self.offer("approve", [(each, each) for each in ticked])

    def clean_approve(self) -> dict[int, str]:
        """Return the marks by their keys; refuse what the page did not make."""
        shown = {}
        for ticked in self.cleaned_data["approve"]:
            key, _colon, mark = ticked.partition(":")
            if not (key.isascii() and key.isdigit() and len(key) < LONGEST_KEY):
                raise forms.ValidationError(_("This form has no such box."))
            shown[int(key)] = mark
        return shown


class DeclineForm(PageForm):
    """The version shown, and the reason where the client gives one."""

    mark = text_field("")
    version = WholeField()
    reason = text_field(gettext_lazy("Why not"))


class QuestionForm(PageForm):
    """A question, with the mark of the page that it was asked on."""

    mark = text_field("")
    words = text_field(gettext_lazy("Your question"), lines=4, maxlength=str(LONGEST_QUESTION))
