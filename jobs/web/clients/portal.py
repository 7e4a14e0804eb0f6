"""The client's page, for whoever has its link: viewing changes nothing, asking is a form.

The link is the only credential. No cookie is set or read, so a form from another site has no session to use.
The form carries a signed mark of the page all the same.
"""

import hashlib
import uuid
from collections.abc import Callable
from datetime import date
from functools import wraps
from typing import Any

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt

from jobs.core.errors import Forbidden, NotFound, ShopError, TooMany
from jobs.core.rate_limit import address_of, count_key, counted
from jobs.domain import lookups
from jobs.domain.clients.approvals import approve as approve_shown
from jobs.domain.clients.portal_links import find_link, is_unopened, note_opening
from jobs.domain.clients.updates import LONGEST_QUESTION, ask_shop, client_actor
from jobs.domain.overviews.client_portal import client_page
from jobs.domain.overviews.client_portal_papers import Picks
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.log.commands import CommandContext
from jobs.models import ClientLink, Offer
from jobs.web.clients.paying import with_ways
from jobs.web.clients.portal_forms import AcceptForm, ApproveForm, DeclineForm, QuestionForm
from jobs.web.kit.access import anyone
from jobs.web.kit.forms import PageForm

WINDOW_S = 10 * 60
MOST_OF_LINK, MOST_WRONG = 300, 20
"""Requests within the window: with one link, and with unknown links from one address."""
MOST_ASKED = 5
TOTAL = "total"
MARK, MARK_HOLDS_S = "client page", 24 * 3600
OUTSIDE = {
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "private, no-store",
}
Door = Callable[..., HttpResponse]


def by_link(*methods: str) -> Callable[[Door], Door]:
    """Return a decorator that opens a view to whoever has the link of a commission."""

    def make(view: Door) -> Door:
        @csrf_exempt
        @anyone
        @wraps(view)
        def run(request: HttpRequest, token: str, **more: Any) -> HttpResponse:
            answer = _answer(request, view, methods, token, more)
            for name, value in OUTSIDE.items():
                answer[name] = value
            return answer

        return run

    return make


def _answer(
    request: HttpRequest, view: Door, methods: tuple[str, ...], token: str, more: dict[str, Any]
) -> HttpResponse:
    link = find_link(token)
    if link is None:  # failed tries from one address never block a valid link
        wrong = count_key("client-wrong", address_of(request))
        return _shut(request, 429 if counted(wrong, WINDOW_S) > MOST_WRONG else 404)
    if counted(count_key("client-link", link.sha256), WINDOW_S) > MOST_OF_LINK:
        return _shut(request, 429)
    if request.method not in methods:
        return _shut(request, 405)
    try:
        return view(request, link, token, **more)
    except ShopError as refused:
        return _shut(request, refused.status, code=refused.code)


def _shut(request: HttpRequest, status: int, *, code: str = "") -> HttpResponse:
    answer = render(request, "client/shut.html", {"status": status, "code": code}, status=status)
    if status == 429:
        answer["Retry-After"] = str(WINDOW_S)
    return answer


@by_link("GET", "HEAD")
def page(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """Show what the client may see of the commission."""
    return _page(request, link, token, _fresh_form(link), asked="asked" in request.GET)


@by_link("POST")
def ask(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """Send a question to the shop."""
    form = QuestionForm(request.POST)
    done = form.carry_out(lambda asked: _asked(request, form, link, **asked))
    if done:
        return redirect(f"/c/{token}/?asked#ask")
    form.renew("mark", mark_of(link))
    return _page(request, link, token, form)


def _asked(request: HttpRequest, form: QuestionForm, link: ClientLink, *, mark: str, words: str) -> Any:
    call = _call(form, link, mark, words)
    if counted(count_key("client-asked", link.sha256), WINDOW_S) > MOST_ASKED:
        raise TooMany(
            _("that were many questions at once"),
            wait_s=WINDOW_S,
            field="words",
            allowed=_("another one in ten minutes"),
        )
    return ask_shop(call, commission=link.commission, words=words)


def _call(form: PageForm, link: ClientLink, mark: str, asked: str) -> CommandContext:
    """Return a command context that acts for the client; refuse a form that is not from this page."""
    check_mark(mark, link)
    now = timezone.now()
    note_opening(link, now=now)  # who answers has opened the page
    return CommandContext(
        by=client_actor(lookups.commission(link.commission).client),
        at=now,
        now=now,
        key=form.cleaned_data["form_key"],
        fingerprint=hashlib.sha256(f"{link.commission} {asked}".encode()).hexdigest(),
    )


def mark_of(link: ClientLink) -> str:
    return signing.dumps(link.id, salt=MARK)


def check_mark(mark: str, link: ClientLink) -> None:
    try:
        if signing.loads(mark, salt=MARK, max_age=MARK_HOLDS_S) == link.id:
            return
    except signing.BadSignature:
        pass
    raise Forbidden(_("this page was open for a long time; send it once more"), field="form")


def _fresh_form(link: ClientLink) -> QuestionForm:
    return QuestionForm(initial={"form_key": uuid.uuid4().hex, "mark": mark_of(link)})


def _page(
    request: HttpRequest,
    link: ClientLink,
    token: str,
    form: QuestionForm,
    *,
    asked: bool = False,
    refused: dict[str, Any] | None = None,
    picks: Picks | None = None,
    status: int = 0,
) -> HttpResponse:
    found = lookups.commission(link.commission)
    view = client_page(found, now=timezone.now(), picks=picks)
    if view["to_pay"]:
        view["to_pay"] = {**view["to_pay"], "bills": with_ways(view["to_pay"]["bills"])}
    context = {
        "page": view,
        "form": form,
        "token": token,
        "opening": mark_of(link) if is_unopened(link) else "",
        "asked": asked,
        "answered": "answered" in request.GET,
        "approved": "approved" in request.GET,
        "refused": refused,
        "key": uuid.uuid4().hex,
        "longest": LONGEST_QUESTION,
    }
    return render(request, "client/page.html", context, status=status or form.status)


@by_link("POST")
def accept(request: HttpRequest, link: ClientLink, token: str, *, offer: str) -> HttpResponse:
    """Accept the version shown, with a typed name; ``do`` total only shows the totals of what is ticked."""
    form = AcceptForm(request.POST)
    if request.POST.get("do") == TOTAL:
        form.is_valid()
        typed: dict[str, Any] = {"offer": offer, "told": [], "change": None, "typed": form.data}
        picks = {_theirs(link, offer): form.chosen}
        return _page(request, link, token, _fresh_form(link), refused=typed, picks=picks)

    def act(asked: dict[str, Any]) -> Any:
        call = _call(form, link, asked.pop("mark"), f"accept {offer} {sorted(asked.items())}")
        return accept_offer(call, offer=_theirs(link, offer), **asked)

    return _answered(request, link, token, offer, form, act)


@by_link("POST")
def decline(request: HttpRequest, link: ClientLink, token: str, *, offer: str) -> HttpResponse:
    """Decline the version shown; a reason is optional."""
    form = DeclineForm(request.POST)

    def act(asked: dict[str, Any]) -> Any:
        call = _call(form, link, asked.pop("mark"), f"decline {offer} {sorted(asked.items())}")
        return decline_offer(call, offer=_theirs(link, offer), **asked)

    return _answered(request, link, token, offer, form, act)


def _answered(
    request: HttpRequest,
    link: ClientLink,
    token: str,
    offer: str,
    form: PageForm,
    act: Callable[[dict[str, Any]], Any],
) -> HttpResponse:
    refusals: list[ShopError] = []

    def kept(asked: dict[str, Any]) -> Any:
        try:
            return act(asked)
        except ShopError as refused:
            refusals.append(refused)
            raise

    if form.carry_out(kept):
        return redirect(f"/c/{token}/?answered")
    told = [error for errors in form.errors.values() for error in errors]
    changes = [_with_days(r.extra["difference"]) for r in refusals if "difference" in r.extra]
    refused = {"offer": offer, "told": told, "change": changes[0] if changes else None, "typed": form.data}
    picks = {offer: form.chosen} if isinstance(form, AcceptForm) else None
    return _page(request, link, token, _fresh_form(link), refused=refused, picks=picks, status=form.status)


@by_link("POST")
def approve(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """Record the client's yes to the drawings and samples that are ticked."""
    form = ApproveForm(request.POST)

    def act(asked: dict[str, Any]) -> Any:
        shown = asked["approve"]
        call = _call(form, link, asked["mark"], f"approve {sorted(shown.items())}")
        return approve_shown(call, commission=link.commission, shown=shown, link=link.id)

    if form.carry_out(act):
        return redirect(f"/c/{token}/?approved")
    told = [error for errors in form.errors.values() for error in errors]
    refused = {"offer": "", "approve": told}
    return _page(request, link, token, _fresh_form(link), refused=refused, status=form.status)


def _with_days(change: dict[str, Any]) -> dict[str, Any]:
    """Return the changes of a revision with its dates as ``date``."""
    days = {name: change[name] for name in ("promise_before", "promise_after")}
    return {**change, **{name: date.fromisoformat(day) if day else None for name, day in days.items()}}


def _theirs(link: ClientLink, offer: str) -> str:
    """Return the offer's number; refuse one of another commission."""
    if not Offer.objects.filter(number=offer, commission__number=link.commission).exists():
        raise NotFound(_("there is no such offer"), field="offer", value=offer[:40])
    return offer
