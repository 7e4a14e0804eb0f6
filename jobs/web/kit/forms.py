"""Forms of the pages: they keep what was typed and show a refusal beside its field.

A form checks shapes only (a date is a date). The commands hold the rules. ``carry_out`` shows what they
refuse, and nothing typed is lost.
"""

import re
import uuid
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any, TypeVar

from django import forms
from django.forms.renderers import DjangoTemplates
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.curing.laws import COAT_STEPS, GLUE_STEPS
from calcs.kit.errors import CalcError
from calcs.kit.typed import plain_decimal
from jobs.core.errors import KeyReused, ShopError, Stale
from jobs.log.commands import CommandContext
from jobs.web.kit.calls import SignedIn, call_of
from jobs.web.kit.stored_translations import Text

BROKEN = "\ufffd"
EARLIEST_YEAR = 2000
BESIDE_THE_FIELDS = {"csrfmiddlewaretoken", "do", "more", "form_list", "page"}
"""What a page sends besides its fields: the CSRF token, the button pressed, and the place."""
LONGEST_NAME = 80
WHY = gettext_lazy("Why")
Choices = Iterable[tuple[str, Text]]
T = TypeVar("T")


class Look(DjangoTemplates):
    """The project's field template instead of the framework's."""

    field_template_name = "web/parts/field.html"


class WholeField(forms.IntegerField):
    """A whole number in plain digits."""

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip() and plain_decimal(value) is None:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return super().to_python(value)


class PageForm(forms.Form):
    """A form with an idempotency key, the version that its sender saw, and when it was submitted."""

    default_renderer = Look()
    use_required_attribute = False
    status = 200
    refusal: ShopError | CalcError | None = None

    form_key = forms.CharField(widget=forms.HiddenInput, required=False)
    form_seen = WholeField(widget=forms.HiddenInput, required=False)
    form_at = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any = None, *, seen: int | None = None, initial: Any = None) -> None:
        given = {"form_key": uuid.uuid4().hex, "form_seen": seen, **(initial or {})}
        super().__init__(data, initial=given, label_suffix="")

    def clean(self) -> dict[str, Any]:
        for name, value in self.cleaned_data.copy().items():
            if isinstance(value, str) and BROKEN in value:
                self.add_error(name, _("This text holds broken characters; write it again."))
        for name in sorted({*self.data, *self.files} - {*self.fields, *BESIDE_THE_FIELDS}):
            self.add_error(None, _("This form has no field named %(name)s.") % {"name": name[:LONGEST_NAME]})
        return self.cleaned_data

    def carry_out(self, act: Callable[[dict[str, Any]], T]) -> T | None:
        """Run a command on what was typed; where it is refused, return None and show why on the form."""
        if not self.is_valid():
            self.status = 422
            return None
        try:
            return act(self.asked())
        except (ShopError, CalcError) as refused:
            self.refusal = refused
            self.refuse(refused)
            return None

    def asked(self) -> dict[str, Any]:
        """Return what was typed, without the fields that every form carries."""
        return {name: value for name, value in self.cleaned_data.items() if not name.startswith("form_")}

    def call(self, request: SignedIn, *, at: datetime | None = None, part: str = "") -> CommandContext:
        return call_of(
            request, key=self.cleaned_data["form_key"], seen=self.cleaned_data["form_seen"], at=at, part=part
        )

    def refuse(self, refused: ShopError | CalcError) -> None:
        """Show a refusal beside its field, or on top where the form has no such field."""
        self.status = getattr(refused, "status", 422)
        name = self.field_of(refused.field)
        if name in self.fields:
            self.add_error(name, sentence(refused, called=str(self.fields[name].label)))
        else:
            self.add_error(None, sentence(refused))
        if isinstance(refused, KeyReused):
            self.renew("form_key", uuid.uuid4().hex)
        if isinstance(refused, Stale):
            self.renew("form_seen", refused.allowed)

    def field_of(self, name: str) -> str:
        """Return the form's field for a refusal's field."""
        return name

    def renew(self, name: str, value: str) -> None:
        assert isinstance(self.data, QueryDict | dict), "a form that was sent"
        data = self.data.copy()
        data[name] = value
        self.data = data

    def show_unit(self, name: str, unit: str) -> None:
        """Show a unit after a field of text."""
        field = self.fields[name]
        assert isinstance(field, TextField), f"{name} is a text"
        field.suffix = unit

    def offer(self, name: str, choices: Iterable[tuple[Any, Text]]) -> None:
        """Put the choices into a field."""
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField), f"{name} is a choice"
        field.choices = list(choices)


def sentence(refused: ShopError | CalcError, *, called: str = "") -> str:
    """Return a refusal in words: what is wrong, what is allowed. ``called`` is the field's name on screen."""
    detail = str(refused)
    if refused.field:
        detail = re.sub(rf"^{re.escape(refused.field)}\b", called or refused.field.replace("_", " "), detail)
    text = _spoken(detail[:1].upper() + detail[1:])
    if refused.allowed and refused.allowed not in detail:
        text = _("%(text)s. Allowed: %(allowed)s") % {"text": text, "allowed": _spoken(str(refused.allowed))}
    return text if text.endswith((".", "?", "!")) else f"{text}."


def _spoken(text: str) -> str:
    """Return the text with the steps of a product sheet as people type them: ``recoat from``."""
    for step in (*GLUE_STEPS, *COAT_STEPS):
        text = text.replace(step, step.replace("_", " "))
    return text


class TextField(forms.CharField):
    """A text with the unit that is shown after it; a length is shown again as it is read."""

    suffix = ""
    is_length = False


def text_field(
    label: Text, *, help_text: Text = "", lines: int = 0, suffix: str = "", **attrs: Any
) -> TextField:
    """Return a field for one line of text, or several. ``suffix`` is the unit shown after it."""
    widget = forms.Textarea(attrs={"rows": lines, **attrs}) if lines else forms.TextInput(attrs=attrs)
    field = TextField(label=label, help_text=help_text, required=False, widget=widget)
    field.suffix = suffix
    return field


def number_field(label: Text, **more: Any) -> forms.Field:
    """Return a number field that keeps its text; the command parses it, so that nothing typed is lost."""
    return text_field(label, inputmode="decimal", **more)


def choice_field(label: Text, choices: Choices, *, help_text: Text = "", **attrs: Any) -> forms.Field:
    """Return a field with choices; the command refuses any other value."""
    return OpenChoice(
        label=label,
        choices=list(choices),
        help_text=help_text,
        required=False,
        widget=forms.Select(attrs=attrs),
    )


class OpenChoice(forms.ChoiceField):
    """A choice that accepts every value; the command refuses others and names what is allowed."""

    def valid_value(self, value: str) -> bool:
        return True


class OpenNumbers(forms.TypedMultipleChoiceField):
    """Several numbers; the command refuses those that may not be chosen."""

    def valid_value(self, value: str) -> bool:
        return value.isascii() and value.isdigit()


class _PicturesInput(forms.FileInput):
    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several pictures, from the camera or the gallery."""

    def __init__(self, *, label: Text) -> None:
        kinds = "image/jpeg,image/png,image/webp"
        widget = _PicturesInput({"accept": kinds, "multiple": True, "data-shrink": ""})
        super().__init__(label=label, required=False, widget=widget)

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        given = data if isinstance(data, list | tuple) else [data]
        return [found for one in given if (found := super(PicturesField, self).clean(one, initial))]


def date_field(label: Text, *, help_text: Text = "") -> forms.Field:
    return forms.DateField(
        label=label, help_text=help_text, required=False, widget=forms.DateInput({"type": "date"}, "%Y-%m-%d")
    )


def moment_field(label: Text, *, help_text: Text = "") -> forms.Field:
    return forms.DateTimeField(
        label=label,
        help_text=help_text,
        required=False,
        widget=forms.DateTimeInput({"type": "datetime-local"}, "%Y-%m-%dT%H:%M"),
        validators=[_not_before_this_century],
    )


def _not_before_this_century(moment: datetime) -> None:
    if moment.year < EARLIEST_YEAR:
        raise forms.ValidationError(
            _("%(value)s is before this century. Allowed: from %(least)s on.")
            % {"value": moment.date().isoformat(), "least": EARLIEST_YEAR}
        )


def reason_field(label: Text = WHY, **more: Any) -> forms.Field:
    return text_field(label, lines=2, **more)
