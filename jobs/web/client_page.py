"""The client's page, for whoever has its link: looking changes nothing, asking is a form.

The link is all that opens it. No cookie is set or read, so a form from elsewhere has nothing to ride on;
it carries a signed mark of the page all the same.
"""

import hashlib
import uuid
from collections.abc import Callable
from functools import wraps
from typing import Any

from csp.decorators import csp_exempt
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from jobs import files, lookups
from jobs.client_links import find_link
from jobs.commands.telling import LONGEST_QUESTION, ask_shop, client_actor
from jobs.errors import Forbidden, ShopError
from jobs.log import Call
from jobs.models import ClientLink
from jobs.pictures import thumbnail
from jobs.queries.client_page import client_page, the_shown_paper, the_shown_picture
from jobs.queries.pictures import file_of
from jobs.web.access import anyone
from jobs.web.counting import count_key, counted, so_far
from jobs.web.forms import PageForm, text_field

WINDOW_S = 10 * 60
MOST_OF_ADDRESS, MOST_OF_LINK, MOST_WRONG = 600, 300, 20
"""Requests within the window: of one address, of one link, and of one address with links that are none."""
MOST_ASKED = 5
MARK, MARK_HOLDS_S = "client page", 24 * 3600
OUTSIDE = {
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "private, no-store",
}
Door = Callable[..., HttpResponse]


class QuestionForm(PageForm):
    """A question, with the mark of the page it was asked on."""

    mark = text_field("")
    words = text_field("Your question", lines=4, maxlength=str(LONGEST_QUESTION))


def by_link(*methods: str) -> Callable[[Door], Door]:
    """A page for whoever has the link of a commission."""

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
    address = request.META.get("REMOTE_ADDR", "")
    wrong = count_key("client-wrong", address)
    if (
        counted(count_key("client-address", address), WINDOW_S) > MOST_OF_ADDRESS
        or so_far(wrong) > MOST_WRONG
    ):
        return _shut(request, 429)
    link = find_link(token)
    if link is None:
        counted(wrong, WINDOW_S)
        return _shut(request, 404)
    if counted(count_key("client-link", link.sha256), WINDOW_S) > MOST_OF_LINK:
        return _shut(request, 429)
    if request.method not in methods:
        return _shut(request, 405)
    try:
        return view(request, link, token, **more)
    except ShopError as refused:
        return _shut(request, refused.status)


def _shut(request: HttpRequest, status: int) -> HttpResponse:
    answer = render(request, "client/shut.html", {"status": status}, status=status)
    if status == 429:
        answer["Retry-After"] = str(WINDOW_S)
    return answer


@by_link("GET", "HEAD")
def page(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """Everything about the commission that is the client's to see."""
    return _page(request, link, token, _fresh_form(link), asked="asked" in request.GET)


@by_link("POST")
def ask(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """A question to the shop."""
    form = QuestionForm(request.POST)
    done = form.carry_out(lambda asked: _asked(request, form, link, **asked))
    if done:
        return redirect(f"/c/{token}/?asked#ask")
    form.renew("mark", _mark(link))
    return _page(request, link, token, form)


def _asked(request: HttpRequest, form: QuestionForm, link: ClientLink, *, mark: str, words: str) -> Any:
    _check_mark(mark, link)
    if counted(count_key("client-asked", link.sha256), WINDOW_S) > MOST_ASKED:
        raise TooMany("that were many questions at once", field="words", allowed="another one in ten minutes")
    now = timezone.now()
    found = lookups.commission(link.commission)
    call = Call(
        by=client_actor(found.client),
        at=now,
        now=now,
        key=form.cleaned_data["form_key"],
        fingerprint=hashlib.sha256(f"{link.commission} {words}".encode()).hexdigest(),
    )
    return ask_shop(call, commission=link.commission, words=words)


class TooMany(ShopError):
    """Too many at once."""

    code = "too-many"
    status = 429


def _mark(link: ClientLink) -> str:
    return signing.dumps(link.id, salt=MARK)


def _check_mark(mark: str, link: ClientLink) -> None:
    try:
        if signing.loads(mark, salt=MARK, max_age=MARK_HOLDS_S) == link.id:
            return
    except signing.BadSignature:
        pass
    raise Forbidden("this page was open for a long time; send it once more", field="form")


def _fresh_form(link: ClientLink) -> QuestionForm:
    return QuestionForm(initial={"form_key": uuid.uuid4().hex, "mark": _mark(link)})


def _page(
    request: HttpRequest, link: ClientLink, token: str, form: QuestionForm, *, asked: bool = False
) -> HttpResponse:
    found = lookups.commission(link.commission)
    view = client_page(found, now=timezone.now())
    context = {"page": view, "form": form, "token": token, "asked": asked, "longest": LONGEST_QUESTION}
    return render(request, "client/page.html", context, status=form.status)


@by_link("GET", "HEAD")
def image(request: HttpRequest, link: ClientLink, token: str, *, picture: int, size: str) -> HttpResponse:
    """A picture that was chosen for the client."""
    name = file_of(the_shown_picture(link.commission, picture))
    content = thumbnail(name) if size == "small" else files.load(name)
    return HttpResponse(content, content_type="image/jpeg")


@csp_exempt()  # a browser's own viewer of PDF counts as an object, which pages do not allow
@by_link("GET", "HEAD")
def pdf(request: HttpRequest, link: ClientLink, token: str, *, paper: str) -> HttpResponse:
    """A paper that is the client's."""
    found = the_shown_paper(link.commission, paper)
    answer = HttpResponse(files.load(found.file_sha256), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{found.number}.pdf"'
    return answer
