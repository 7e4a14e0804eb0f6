"""Terms by the country of a client: the shop's own texts, with examples to begin from. For the owner."""

from typing import Any

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.core.countries import COUNTRIES
from jobs.domain.settings import profile, settings
from jobs.domain.workshop.commands import set_shop
from jobs.domain.workshop.terms_examples import EXAMPLES
from jobs.log.commands import CommandContext, CommandResult
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, choice_field, text_field


class TermsForm(PageForm):
    """A country and its terms."""

    country = choice_field(
        gettext_lazy("Clients in"), [("", ""), *sorted(COUNTRIES.items(), key=lambda one: one[1])]
    )
    text = text_field(gettext_lazy("Terms"), lines=8, help_text=gettext_lazy("Empty: the terms of the shop."))

    def field_of(self, name: str) -> str:
        return "text" if self.data.get("country") in COUNTRIES else "country"


@owner
@require_http_methods(["GET", "POST"])
def terms(request: SignedIn) -> HttpResponse:
    """Set the terms for clients of one country; others keep the shop's terms."""
    shop, own = profile(), settings()["terms_abroad"]
    country = request.GET.get("country", "")
    usual = {"country": country, "text": own.get(country) or EXAMPLES.get(country, "")}
    form = TermsForm(request.POST or None, seen=shop.version if shop else 0, initial=usual)

    def command(call: CommandContext, *, country: str, text: str) -> CommandResult:
        return set_shop(call, settings={"terms_abroad": {**own, country: text}})

    def context() -> dict[str, Any]:
        return {
            "own": [(key, COUNTRIES[key]) for key in own],
            "examples": [(key, COUNTRIES[key]) for key in EXAMPLES if key not in own],
            "is_example": country in EXAMPLES and country not in own,
        }

    return command_page(request, form, command, (_("Saved."), "web:shop"), "web/workshop/terms.html", context)
