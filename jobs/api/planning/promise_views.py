"""The plan is asked: when can this be promised, what if, how were promises kept. Asking writes nothing."""

from dataclasses import asdict
from decimal import Decimal
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.schema import WRITES
from jobs.api.kit.view_bases import View
from jobs.api.planning.promise_serializers import (
    LearnedOut,
    PromiseDaysOut,
    PromiseIn,
    WhatIfIn,
    WhatIfOut,
)
from jobs.domain.promising.asked import Asked
from jobs.domain.promising.comparing import Effect, compare
from jobs.domain.promising.learned import kept_promises, shares_of, work_by_kind, work_by_week
from jobs.domain.promising.promise import when
from jobs.domain.promising.what_if import WhatIf, reach_of

HUNDREDTH = Decimal("0.01")
DAYS = ("in_half", "in_eight_of_ten", "in_nineteen_of_twenty")


class PromiseView(View):
    """When something can be promised."""

    permission_classes = (Worker,)

    @extend_schema(request=PromiseIn, responses=PromiseDaysOut, extensions={WRITES: False})
    def post(self, request: Request) -> Response:
        """Put it into the plan, live the plan through many times, and read the days."""
        answer = when(Asked(**self.body(PromiseIn)), timezone.now())
        names = ("commission", "proposed", "held_by", "chance")
        shown = {
            **{name: getattr(answer, name) for name in names},
            **{name: getattr(answer.odds, name) for name in DAYS},
            "hours": answer.hours.quantize(HUNDREDTH),
            "holding": asdict(answer.holding),
            "not_planned": [asdict(one) for one in answer.not_planned],
            "cannot": asdict(answer.cannot) if answer.cannot else None,
        }
        return Response(present(shown))


class WhatIfView(View):
    """What changes would do to every promised day."""

    permission_classes = (Worker,)

    @extend_schema(request=WhatIfIn, responses=WhatIfOut, extensions={WRITES: False})
    def post(self, request: Request) -> Response:
        """Plan the shop as it is and with the changes, in the same way; save nothing."""
        asked = self.body(WhatIfIn)
        units = self.use_units(asked)
        reach = reach_of(str(asked.pop("reach", "")), units)
        found = compare(WhatIf(**asked, reach_len=reach), timezone.now())
        shown = {
            "effects": [_effect(one) for one in found.effects],
            "not_planned": [asdict(one) for one in found.not_planned],
        }
        return Response(present(shown))


def _effect(one: Effect) -> dict[str, Any]:
    return {
        **asdict(one),
        **{name: getattr(one, name) for name in ("days", "days_late", "is_broken")},
    }


class LearnedView(View):
    """How promises and plans were kept."""

    permission_classes = (Worker,)

    @extend_schema(responses=LearnedOut)
    def get(self, request: Request) -> Response:
        """Shares of promises that were kept, from ten on, and planned against done minutes."""
        shares = shares_of(kept_promises())
        shown = {
            "shares": asdict(shares) if shares.is_shown else None,
            "kinds": [asdict(one) for one in work_by_kind()],
            "weeks": [asdict(one) for one in work_by_week()],
        }
        return Response(present(shown))


ROUTES = [
    view_route("plan/promise/", "plan-promise", PromiseView),
    view_route("plan/what-if/", "what-if", WhatIfView),
    view_route("plan/learned/", "plan-learned", LearnedView),
]
