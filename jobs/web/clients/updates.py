"""Client updates: the link to the client's page, news, and questions."""

from functools import partial
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core.postal_addresses import address_lines
from jobs.domain import lookups
from jobs.domain.clients.approvals import approvals_of, to_ask
from jobs.domain.clients.portal_links import address_of, link_views, make_link, revoke_links
from jobs.domain.clients.updates import (
    LONGEST_WORDS,
    questions_of,
    settle_question,
    tell_client,
    the_question,
    update_views,
)
from jobs.domain.notes.picture_queries import picture_views, pictures_of_commission
from jobs.domain.overviews.client_portal import drafted
from jobs.domain.settings import profile
from jobs.log.private_texts import read
from jobs.models import Commission
from jobs.web.commissions.history import names_of_people
from jobs.web.commissions.shown import slim_section
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.forms import PageForm, text_field
from jobs.web.kit.pagination import page_of
from jobs.web.kit.responses import redirect_with_message

NEWEST_PICTURES = 24
UPDATES_SHOWN = 8


class SettleForm(PageForm):
    how = text_field(
        gettext_lazy("How it was answered"),
        lines=2,
        help_text=gettext_lazy("May stay empty; the client does not see it."),
    )


class UpdateForm(PageForm):
    """News, the pictures with it, and the questions that it answers."""

    words = text_field(
        gettext_lazy("What the client reads"),
        lines=9,
        maxlength=str(LONGEST_WORDS),
        help_text=gettext_lazy("Proposed from what happened since the last news. Change it as you like."),
    )
    pictures = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Pictures"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    answers = forms.TypedMultipleChoiceField(
        label=gettext_lazy("It answers"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, data: Any = None, *, shown: Any, asked: Any, **more: Any) -> None:
        super().__init__(data, **more)
        self.offer("pictures", [(p["id"], p["words"] or _("Picture")) for p in shown])
        self.offer("answers", [(q["id"], q["words"]) for q in asked])
        if not asked:
            del self.fields["answers"]


@worker
@require_safe
def client_talk(request: SignedIn, number: str) -> HttpResponse:
    """Show the news and questions of a client, and the links to the client's page."""
    return _talk(request, lookups.commission(number))


def _talk(request: SignedIn, found: Commission, **more: Any) -> HttpResponse:
    names, links = names_of_people(), link_views(found.number)
    page = page_of(request, found.updates.order_by("-told_at", "-id"), UPDATES_SHOWN)
    updates, questions = update_views(page.object_list), questions_of(found)
    for update in updates:
        update["by"] = names.get(update["told_by"], update["told_by"])
    context = slim_section(found, request.user, "client")
    context |= {
        "number": found.number,
        "client": (client := context["commission"]["client"]),
        "lives": "\n".join(address_lines(client)),
        "updates": updates,
        "page": page,
        "questions": [q for q in questions if not q["settled_at"]],
        "settled": [q for q in questions if q["settled_at"]],
        "links": links,
        "link": next((link for link in links if not link["mail"]), None),
        "approvals": approvals_of(found),
        "can_ask": found.step not in Commission.ENDED and bool(to_ask(found)),
        "form": more.pop("form", SettleForm()),
        **more,
    }
    return render(request, "web/clients/client_talk.html", context, status=context["form"].status)


def _about(found: Commission) -> dict[str, Any]:
    shop = profile()
    return {
        "number": found.number,
        "title": read(found.title_ref),
        "client": {"id": found.client_id, "name": read(found.client.name_ref)},
        "address": read(found.client.email_ref),
        "answers_to": read(shop.email_ref) if shop else "",
    }


@owner
@require_POST
def new_link(request: SignedIn, number: str) -> HttpResponse:
    """Make a link and show it; only this response ever shows it."""
    token = make_link(request.user, commission=number, now=timezone.now())[1]
    fresh = address_of(token)
    answer = _talk(request, lookups.commission(number), fresh=fresh)
    answer["Cache-Control"] = "no-store"
    return answer


@owner
@require_POST
def end_links(request: SignedIn, number: str) -> HttpResponse:
    """Revoke every link of a commission."""
    revoke_links(commission=number, now=timezone.now())
    return redirect("web:client-talk", number)


@owner
@require_POST
def end_link(request: SignedIn, number: str, link: int) -> HttpResponse:
    """Revoke one link of a commission."""
    revoke_links(commission=number, link=link, now=timezone.now())
    return redirect("web:client-talk", number)


@worker
@sensitive_post_parameters("words")
@require_http_methods(["GET", "POST"])
def tell(request: SignedIn, number: str) -> HttpResponse:
    """Draft, preview and send news; only sending changes anything."""
    found = lookups.commission(number)
    pictures = pictures_of_commission(number, request.user).order_by("-taken_at", "-id")
    shown = picture_views(pictures[:NEWEST_PICTURES])
    asked = [q for q in questions_of(found) if q["settled_at"] is None]
    if request.method == "GET":
        words = drafted(found, now=timezone.now())
        answers = request.GET.getlist("answer") or [q["id"] for q in asked if len(asked) == 1]
        given = {"words": words, "answers": answers}
        form = UpdateForm(shown=shown, asked=asked, initial=given, seen=found.version)
    else:
        form = UpdateForm(request.POST, shown=shown, asked=asked)
        if request.POST.get("do") == "send":
            done = form.carry_out(lambda told: tell_client(form.call(request), commission=number, **told))
            if done:
                return redirect_with_message(
                    request, done, _("The news is published."), "web:client-talk", number
                )
    chosen = set(form["pictures"].value() or ())
    for picture in shown:
        picture["chosen"] = str(picture["id"]) in {str(key) for key in chosen}
    context = {
        **_about(found),
        "form": form,
        "shown": shown,
        "preview": request.method == "POST" and form.is_valid() and form.cleaned_data["words"].strip(),
    }
    return render(request, "web/clients/client_tell.html", context, status=form.status)


@worker
@require_POST
def settle(request: SignedIn, question: int) -> HttpResponse:
    """Settle a question without sending news."""
    found, form = the_question(question).commission, SettleForm(request.POST)
    return carried_out(
        request, form, partial(settle_question, question=question),
        (_("The question is settled."), "web:client-talk", found.number),
        lambda: _talk(request, found, form=form),
    )  # fmt: skip
