"""The office: what is owed and asked, who, and the settings."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.billing.queries import receivables
from jobs.models import Commission, Person
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn


@worker
@require_safe
def office(request: SignedIn) -> HttpResponse:
    """Show the pages of the office, and to the owner what stands there."""
    return render(request, "web/workshop/office.html", _figures() if request.user.is_owner else {})


def _figures() -> dict[str, Any]:
    undecided = Commission.objects.filter(step__in=Commission.UNDECIDED)
    return {
        "owed": receivables(today=timezone.localdate()),
        "asked": undecided.filter(step=Commission.Step.ENQUIRY).count(),
        "quoted": undecided.filter(step=Commission.Step.QUOTED).count(),
        "people": Person.objects.filter(is_active=True).count(),
    }
