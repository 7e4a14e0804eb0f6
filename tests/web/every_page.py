"""Every page of the service, by the names of the URL table, in a shop in which each has something to show."""

import re
from datetime import timedelta
from decimal import Decimal

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from jobs.domain.billing.prices import Line
from jobs.domain.clients.portal_links import make_link
from jobs.domain.clients.updates import ask_shop, client_actor
from jobs.domain.papers.kinds import papers_of_work
from jobs.domain.planning.publishing import publish
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.workshop.accounts import make_token
from jobs.models import (
    Appointment,
    Board,
    Client,
    Commission,
    Cost,
    Equipment,
    Offer,
    Paper,
    Payment,
    Person,
    Picture,
    Piece,
    RouteTemplate,
    Stage,
    Supply,
    Wait,
)
from jobs.models.people import Scope
from jobs.web.kit.shop_sections import SECTIONS
from jobs.web.urls import urlpatterns
from tests.kept_work import once
from tests.shop_fixtures import Work, a_call, a_commission, a_piece, accept_bare
from tests.stories import a_long_story

LONG = "A top with a very long name that has to find room on a small screen: Rindfleischetikettierungstisch"
NOT_PAGES = {
    "bench-now", "commission-now", "length", "paper-row", "changed", "service-worker", "kept",  # parts
    "promise-proposal",
    "image", "note-picture", "client-image", "calendar-feed", "books-file", "client-everything", "pdf",
    "client-pdf", "draft", "offer-draft", "offer-confirmation", "invoice-file",
    "piece-label", "wood", "drawings-pdf", "shopping-print", "board-labels", "cost-receipt",
    "logo-file", "paper-sample",  # files
    "piece-next", "issue-offer", "drop-offer", "accept-offer", "decline-offer", "signed-copy",  # redirects
    "client-accept", "client-decline", "client-ask", "client-approve", "client-opened", "client-wood",
    "no-signal",  # leaves as soon as there is signal
    "demo-loading", "demo-leaving", "leave-demo",  # of a demo shop alone
}  # fmt: skip
"""Addresses that a browser opens and that are no pages: parts, pictures, files, redirects."""


def a_whole_shop() -> Work:
    """Run the long story and leave work open after it: a quote to answer, a question, long names."""
    now = once("a whole shop", lambda: _a_whole_shop().now)
    return Work(Person.objects.get(username="owner"), now)


def _a_whole_shop() -> Work:
    work = a_long_story()
    client = Client.objects.get()
    enquiry = a_commission(work.call(), client, LONG)
    a_piece(work.call(), enquiry, label=LONG)
    line = Line(description=LONG, unit_price=Decimal("1900.00"), tax_pct=Decimal(19))
    draft_quote(work.call(), commission=enquiry.number, lines=[line], valid_days=30)
    issue_offer(work.call(), offer=f"{enquiry.number}-Q1")
    asked = a_commission(work.call(), client, "Bench for the hall")
    piece = a_piece(work.call(), asked, stiffeners="yes")
    draft_quote(work.call(), commission=asked.number, lines=[line], valid_days=30)
    accept_bare(work.call(), commission=asked.number)
    work.start(piece, "survey")
    ask_shop(a_call(client_actor(client), work.call().at), commission=asked.number, words="Is it begun?")
    assert publish(timezone.now())
    return work


def pages(owner: Person) -> dict[str, list[str]]:
    """Return the addresses of every page, by its name in the URL table."""
    in_clamps, enquiry, begun = (Commission.objects.get(number=f"2026-00{n}") for n in (5, 6, 7))
    piece = Piece.objects.get(commission=in_clamps)
    stages = [piece.stages.get(key=key) for key in ("survey", "glue-up", "dry-fit", "clamps-off", "deliver")]
    running = Wait.objects.filter(step=Wait.Step.RUNNING, stage__piece=piece).first()
    token = make_link(owner, commission=enquiry.number, now=timezone.now())[1]
    client, paper = Client.objects.get(), Paper.objects.filter(kind=Paper.CHECKLIST).latest("id")
    invoice = Paper.objects.filter(kind=Paper.INVOICE, withdrawn_at=None).latest("id")
    issued, written = Offer.objects.get(commission=enquiry), Offer.objects.get(commission=begun)
    template = RouteTemplate.objects.latest("version")

    def of(name: str, *arguments: object) -> str:
        return reverse(f"web:{name}", args=arguments)

    def about(names: str, *arguments: object) -> dict[str, list[str]]:
        return {name: [of(name, *arguments)] for name in names.split()}

    def of_stage(stage: Stage) -> str:
        return of("stage", stage.piece.number, stage.key)

    return {
        **about("bench commissions new-commission receivables clients add-client climate hours"),
        **about("board-bill"),
        **about("own-rates calculator office stock shopping add-board add-supply equipment add-equipment"),
        "search": [of("search"), f"{of('search')}?q=table"],
        "plan": [of("plan"), f"{of('plan')}?week={timezone.localdate() + timedelta(days=7)}"],
        **about("plan-month plan-print dates day new-date working-hours plan-promise what-if"),
        **about("plan-learned"),
        **about("planned", piece.number, "clamps-off"),
        **about("hours-of", owner.id),
        **about("date", Appointment.objects.latest("id").id),
        **about("needs-your-eye walls first-run first-run-bench first-run-done"),
        **about("logo"),
        **about("notes templates me wishes people add-person shop sheets new-wood engine-room lost-mail log"),
        **about("change-commission add-piece client-talk tell price new-change", in_clamps.number),
        **about(
            "commission-piece commission-money commission-history agree-delivery firmness", in_clamps.number
        ),
        **about("picture-commission payment invoice deposit", in_clamps.number),
        **about("commission-hours", begun.number),
        "profit": [of("profit"), f"{of('profit')}?year=2026"],
        "books": [of("books"), f"{of('books')}?period=2026-Q1"],
        **about("commission-costs add-cost", in_clamps.number),
        **about("correct-cost void-cost", Cost.objects.filter(voided_at=None).first().id),
        **about("repay", invoice.commission.number),
        **about("new-quote", in_clamps.number),
        **about("accept-order", enquiry.number),
        **about("take-back ask-approval", begun.number),
        **about("reopen-commission", Commission.objects.filter(step="closed").earliest("id").number),
        **about("offer send-offer follow-up let-go", issued.number),
        **about("quotes"),
        **about("write-offer", written.number),
        **about("client-page", token),
        **about("change-piece remove-piece lay-out piece-route piece-figures", piece.number),
        **about("drawings", piece.number),
        **about("drawing", piece.number, "glue-up"),
        **about("wall", make_token(owner, label="Ada", now=timezone.now(), scope=Scope.WALL)[1]),
        **about("route-move", piece.number, "square-ends"),
        **about("write-note take-picture glue-up-now", piece.number, "glue-up"),
        **about("end-wait", running.id),
        **about("picture", Picture.objects.filter(removed_at=None).first().id),
        **about("withdraw", paper.number),
        **about("credit send-paper remind invoice-data", invoice.number),
        **about("receipt void-payment correct-payment", Payment.objects.first().id),
        **about("client change-client statement forget-client", client.id),
        **about("board", Board.objects.first().number),
        **about("supply", Supply.objects.first().id),
        **about("change-equipment", Equipment.objects.first().id),
        **about("person", owner.id),
        **about("template", template.key),
        **about("template-version", template.key, template.version),
        "shop-terms": [of("shop-terms") + "?country=DE"],
        "shop-section": [of("shop-section", section) for section in SECTIONS],
        "issue-paper": [
            reverse("web:issue-paper", kwargs={"number": in_clamps.number, "kind": kind.key})
            for kind in papers_of_work()
        ],
        "commission": [of("commission", c.number) for c in Commission.objects.order_by("number")],
        "move": [of("move", in_clamps.number, "cancelled")],
        "stage": [of_stage(s) for s in [*stages, begun.pieces.get().stages.get(key="survey")]],
        "calculation": [of("calculation", name) for name in ("movement", "lumber", "layout", "curing")],
        "sheet": [of("sheet", "glue", "pva"), of("sheet", "finish", "quick-finish")],
        "new-sheet": [of("new-sheet", "finish", "shellac")],
        "sign-in": [of("sign-in")],
    }


def asked_by_browsers(http: Browser) -> set[str]:
    """Return the names in the URL table that take GET; the others refuse it."""
    names = set()
    for url in urlpatterns:
        path = re.sub(r"<(int|str):\w+>", lambda part: "1" if part[1] == "int" else "x", str(url.pattern))
        if "GET" in http.put(f"/{path}").headers.get("Allow", "GET"):
            names.add(str(url.name))
    return names
