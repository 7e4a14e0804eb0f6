"""Pages that ask the plan: when can I promise this, what if, how promises were kept."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from calcs.kit.errors import CalcError
from jobs.core.errors import ShopError
from jobs.domain import lookups
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.promising.asked import Asked, promised_day
from jobs.domain.promising.choices import choices
from jobs.domain.promising.comparing import compare
from jobs.domain.promising.promise import Answer, when
from jobs.domain.settings import settings
from jobs.models import Commission
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn, posted_call, units_of
from jobs.web.kit.forms import sentence
from jobs.web.kit.responses import redirect_with_message
from jobs.web.planning.compare_words import shown_comparison
from jobs.web.planning.promise_forms import AskForm, PromiseForm, WhatIfForm
from jobs.web.planning.promise_words import shown_answer


@worker
@require_safe
def promise(request: SignedIn) -> HttpResponse:
    """Say when something can be promised; the address holds what is asked."""
    chosen, now = choices(), timezone.now()
    form = PromiseForm(request.GET, chosen)
    answer: Answer | None = form.carry_out(lambda _asked: when(form.said(), now)) if form.is_bound else None
    titles = dict([*chosen.commissions, *chosen.planned])
    today = timezone.localtime(now).date()
    may = request.user.is_owner
    shown = shown_answer(answer, titles, today, may_promise=may) if answer else None
    return _asked(request, form, "promise", shown)


@worker
@require_safe
def what_if(request: SignedIn) -> HttpResponse:
    """Show what changes would do to every promised day; the address holds the changes."""
    chosen, now = choices(), timezone.now()
    form = WhatIfForm(request.GET, chosen, units_of(request.user))
    found = form.carry_out(lambda _asked: compare(form.said(), now)) if form.is_bound else None
    titles = dict([*chosen.commissions, *chosen.planned])
    today = timezone.localtime(now).date()
    return _asked(request, form, "what_if", shown_comparison(found, titles, today) if found else None)


def _asked(request: SignedIn, form: AskForm, name: str, answer: Any) -> HttpResponse:
    """Return the page, or its answer alone where the page is there already."""
    context = {"form": form, "answer": answer, "refused": form.said_wrong}
    if request.htmx:  # a refusal is an answer too
        return render(request, f"web/planning/parts/{name}_answer.html", context)
    return render(request, f"web/planning/{name}.html", context, status=form.status)


@owner
@require_POST
def make_promise(request: SignedIn) -> HttpResponse:
    """Promise the day that was chosen: of a commission that is not decided yet, in its quote."""
    found = lookups.commission(request.POST.get("commission", "")[:20])
    day = promised_day(request.POST.get("promise_on", "")[:10], timezone.localdate())
    if found.step in Commission.UNDECIDED:
        address = reverse("web:new-quote", args=[found.number])
        return redirect(f"{address}?promise_on={day.isoformat()}")
    result = change_commission(posted_call(request), commission=found.number, promise_on=day)
    return redirect_with_message(request, result, _("The day is promised."), "web:commission", found.number)


@owner
@require_safe
def proposal(request: SignedIn, number: str) -> HttpResponse:
    """Return the day that a quote proposes, for its form; or why there is none."""
    found = lookups.commission(number)
    now = timezone.now()
    try:
        answer = when(Asked(commission=found.number), now)
    except (ShopError, CalcError) as refused:
        return render(request, "web/planning/parts/proposal.html", {"refused": sentence(refused)})
    context = {"day": answer.proposed, "days": int(settings()["promise_margin_days"])}
    return render(request, "web/planning/parts/proposal.html", context)
