"""Route templates of the shop, as the text of their files. For the owner."""

from dataclasses import replace

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError
from jobs.domain.routes import read_text, unusable
from jobs.domain.routes.queries import template_view, template_views
from jobs.domain.stages.route_edits import set_template
from jobs.log.commands import CommandContext, CommandResult
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, sentence, text_field


class TemplateForm(PageForm):
    """The text of a template; errors appear beside it."""

    text = text_field(
        gettext_lazy("The text of the template"),
        lines=30,
        spellcheck="false",
        help_text=gettext_lazy("Change the key in the first line to make a separate template."),
    )

    def refuse(self, refused: ShopError | CalcError) -> None:
        if not isinstance(refused, Invalid | CalcError) or refused.field in self.fields:
            super().refuse(refused)
            return
        self.status = getattr(refused, "status", 422)
        found = (
            " " + _("Found: %(value)s.") % {"value": refused.value} if refused.value not in (None, "") else ""
        )
        self.add_error("text", sentence(refused) + found)


@owner
@require_safe
def templates(request: SignedIn) -> HttpResponse:
    context = {"templates": template_views(), "unusable": unusable()}
    return render(request, "web/stages/templates.html", context)


@owner
@require_http_methods(["GET", "POST"])
def template(request: SignedIn, key: str) -> HttpResponse:
    """Show a template's text; saving makes its next version, and running pieces keep theirs."""
    view = template_view(key)
    form = TemplateForm(request.POST or None, seen=view["version"], initial={"text": view["text"]})
    return command_page(
        request, form, lambda call, *, text: _set(call, key, _lines(text)),
        lambda first: (
            _("%(key)s is version %(version)s.") % first.data, "web:template", first.data["key"]
        ),
        "web/stages/template.html", lambda: {"template": view},
    )  # fmt: skip


@owner
@require_safe
def version(request: SignedIn, key: str, version: int) -> HttpResponse:
    """Show the text of one version of a template, read only."""
    return render(request, "web/stages/template_version.html", {"template": template_view(key, version)})


def _set(call: CommandContext, key: str, text: str) -> CommandResult:
    """Store the next version; another key in the text means a template whose version was not seen here."""
    same = read_text(text, _("the template")).key == key
    return set_template(call if same else replace(call, seen=None), text=text)


def _lines(text: str) -> str:
    """Return the text with the line ends of a file."""
    return text.replace("\r\n", "\n").rstrip() + "\n"
