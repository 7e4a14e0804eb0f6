"""Clients: the list, one with its commissions, adding and changing."""

from functools import partial
from typing import Any

from django import forms
from django.db.models import Count, Q
from django.http import FileResponse, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.postal_addresses import address_lines
from jobs.domain import lookups
from jobs.domain.checks import is_forgotten
from jobs.domain.clients.commands import OWNERS, add_client, change_client
from jobs.domain.clients.erasure import preview
from jobs.domain.clients.erasure_commands import forget_client
from jobs.domain.overviews.bench import LIVE
from jobs.domain.overviews.client_data import client_file
from jobs.domain.overviews.commission import client_views, commission_rows
from jobs.domain.settings import SALES_TAX, tax_name
from jobs.models import Client
from jobs.models.bases import row_key
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import OpenNumbers, PageForm, text_field
from jobs.web.kit.pagination import page_of
from jobs.web.kit.stored_translations import translate_stored


class ClientForm(PageForm):
    name = text_field(gettext_lazy("Name"), autocomplete="off")
    email = text_field(gettext_lazy("E-mail"), inputmode="email", autocomplete="off")
    phone = text_field(gettext_lazy("Phone"), inputmode="tel", autocomplete="off")
    address = text_field(
        gettext_lazy("Address"),
        lines=3,
        autocomplete="off",
        help_text=gettext_lazy("As it stands on papers."),
    )
    postcode = text_field(
        gettext_lazy("ZIP or postal code"),
        autocomplete="off",
        help_text=gettext_lazy("Printed below the address, in the order of the country."),
    )
    city = text_field(gettext_lazy("City"), autocomplete="off")
    country = text_field(
        gettext_lazy("Country"),
        autocomplete="off",
        maxlength="2",
        help_text=gettext_lazy("Two letters, such as US"),
    )
    tax_id = text_field(gettext_lazy("Tax number"), autocomplete="off")
    exempt = text_field(
        gettext_lazy("Exempt certificate, or why they are exempt"),
        lines=2,
        autocomplete="off",
        help_text=gettext_lazy("Its number and what it covers; new lines are exempt while it is valid."),
    )
    exempt_state = text_field(gettext_lazy("State of the certificate"), autocomplete="off")
    exempt_from = text_field(gettext_lazy("Valid from"), type="date", autocomplete="off")
    exempt_until = text_field(
        gettext_lazy("Valid until"),
        type="date",
        autocomplete="off",
        help_text=gettext_lazy("Empty where it does not expire."),
    )
    buyer_reference = text_field(
        gettext_lazy("Reference on their invoices"),
        autocomplete="off",
        help_text=gettext_lazy("A public office in Germany gives a Leitweg-ID."),
    )
    endpoint = text_field(
        gettext_lazy("Address for invoices as data"),
        autocomplete="off",
        help_text=gettext_lazy("Such as 0204:991-03730-19. Empty: their e-mail."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if (name := tax_name()) != SALES_TAX:
            self.fields["tax_id"].label = _("%(tax)s number") % {"tax": translate_stored(name)}


class MakersPart(ClientForm):
    """The form without the fields that only the owner changes."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in OWNERS:
            del self.fields[name]


class ForgetForm(PageForm):
    also = OpenNumbers(
        label=gettext_lazy("They are named here too, or it was written at their piece. Forget it as well?"),
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    confirm = text_field(
        gettext_lazy("Type the client's name, or the number of one of the commissions"), autocomplete="off"
    )


@worker
@require_safe
def clients(request: SignedIn) -> HttpResponse:
    live = Count("commissions", filter=Q(commissions__step__in=LIVE))
    found = list(Client.objects.annotate(live=live))
    views = [{**view, "open": one.live} for view, one in zip(client_views(found), found, strict=True)]
    known = sorted(views, key=lambda c: c["name"].casefold())
    return render(request, "web/clients/clients.html", {"clients": known})


@worker
@require_safe
def client(request: SignedIn, key: int) -> HttpResponse:
    found = lookups.client(key)
    page = page_of(request, found.commissions.select_related("client").order_by("-number"))
    rows = commission_rows(list(page.object_list), now=timezone.now())
    view = client_views([found])[0]
    context = {
        "client": view, "lives": "\n".join(address_lines(view)), "rows": rows, "page": page,
        "forgotten": is_forgotten(found),
    }  # fmt: skip
    return render(request, "web/clients/client.html", context)


@worker
@require_http_methods(["GET", "POST"])
def add(request: SignedIn) -> HttpResponse:
    return command_page(
        request, ClientForm(request.POST or None), add_client,
        lambda first: (_("Client added."), "web:client", row_key(first.seq)), "web/clients/client_form.html",
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, key: int) -> HttpResponse:
    found = lookups.client(key)
    view = client_views([found])[0]
    kind = ClientForm if request.user.is_owner else MakersPart
    return command_page(
        request, kind(request.POST or None, initial=view, seen=found.version),
        lambda call, **asked: change_client(
            call, client=key, **({n: v for n, v in asked.items() if v != view[n]} or asked)
        ),
        (_("Saved."), "web:client", key), "web/clients/client_form.html", lambda: {"client": view},
    )  # fmt: skip


@owner
@require_safe
def everything(request: SignedIn, key: int) -> HttpResponse:
    """Return a zip of all that is kept of a client, to hand over."""
    found = lookups.client(key)
    out = client_file(found, now=timezone.now())
    answer = FileResponse(
        out, as_attachment=True, filename=f"client-{key}.zip", content_type="application/zip"
    )
    answer["Cache-Control"] = "no-store"
    return answer  # type: ignore[return-value]


def _where(stream: str) -> str:
    """Return in words what an event is about."""
    noun, _colon, name = stream.partition(":")
    if noun == "note":
        return str(_("Note for next time"))
    return f"{noun.capitalize()} {name}" if noun in ("board", "commission") else noun.capitalize()


@owner
@require_http_methods(["GET", "POST"])
def forget(request: SignedIn, key: int) -> HttpResponse:
    """Show what erasing a client removes and keeps, and erase on submission."""
    found = lookups.client(key)
    view = preview(found, today=timezone.localdate())
    named = [one["seq"] for one in view["elsewhere"] if one["in_full"]]
    form = ForgetForm(request.POST or None, seen=found.version, initial={"also": named})
    if view["elsewhere"]:
        form.offer(
            "also", [(one["seq"], f"{_where(one['stream'])}: {one['words']}") for one in view["elsewhere"]]
        )
    else:
        del form.fields["also"]
    return command_page(
        request, form, partial(forget_client, client=key),
        (_("The client is forgotten."), "web:client", key), "web/clients/client_forget.html",
        lambda: {"client": client_views([found])[0], "forgotten": is_forgotten(found), "view": view},
    )  # fmt: skip
