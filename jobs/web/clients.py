"""Clients: the list, one with its commissions, adding and changing."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from jobs import lookups
from jobs.commands.clients import add_client, change_client
from jobs.models import Client
from jobs.models.bases import row_key
from jobs.queries.commissions import client_views, commission_rows
from jobs.web.access import worker
from jobs.web.answers import done_to
from jobs.web.forms import PageForm, text_field


class ClientForm(PageForm):
    name = text_field("Name", autocomplete="off")
    email = text_field("E-mail", inputmode="email", autocomplete="off")
    phone = text_field("Telephone", inputmode="tel", autocomplete="off")
    address = text_field("Address", lines=3, autocomplete="off", help_text="As it stands on papers.")
    postcode = text_field(
        "Postcode", autocomplete="off", help_text="This and the next for the data in invoices."
    )
    city = text_field("City", autocomplete="off")
    country = text_field("Country", autocomplete="off", maxlength="2", help_text="Two letters, ISO 3166-1")
    tax_id = text_field("Tax number", autocomplete="off")
    exempt = text_field(
        "Exempt from tax because", lines=2, autocomplete="off", help_text="Empty where tax is charged."
    )


@worker
@require_GET
def clients(request: HttpRequest) -> HttpResponse:
    known = sorted(client_views(list(Client.objects.all())), key=lambda c: c["name"].casefold())
    return render(request, "web/clients.html", {"clients": known})


@worker
@require_GET
def client(request: HttpRequest, key: int) -> HttpResponse:
    found = lookups.client(key)
    commissions = list(found.commissions.select_related("client").order_by("-number"))
    rows = commission_rows(commissions, now=timezone.now())
    return render(request, "web/client.html", {"client": client_views([found])[0], "rows": rows})


@worker
@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    form = ClientForm(request.POST or None)
    if request.method == "POST":
        done = form.carry_out(lambda asked: add_client(form.call(request), **asked))
        if done:
            return done_to(request, done, "Client added.", "web:client", row_key(done.events[0].seq))
    return render(request, "web/client_form.html", {"form": form}, status=form.status)


@worker
@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, key: int) -> HttpResponse:
    found = lookups.client(key)
    view = client_views([found])[0]
    form = ClientForm(request.POST or None, initial=view, seen=found.version)
    if request.method == "POST":
        done = form.carry_out(
            lambda asked: change_client(
                form.call(request), client=key, **({n: v for n, v in asked.items() if v != view[n]} or asked)
            )
        )
        if done:
            return done_to(request, done, "Saved.", "web:client", key)
    return render(request, "web/client_form.html", {"form": form, "client": view}, status=form.status)
