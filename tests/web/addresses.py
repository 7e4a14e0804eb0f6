"""Every address of pages and API, filled in from what a shop holds; a new kind of part must be added here."""

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from random import Random
from typing import Any

from calcs.drawing.sheets import VIEWS as DRAWINGS
from jobs.api.calculations.views import VIEWS
from jobs.api.urls import urlpatterns as of_api
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.documents.kit.einvoice import SYNTAXES
from jobs.domain.clients.portal_links import make_link
from jobs.domain.papers.kinds import drafted_kinds
from jobs.domain.routes import all_routes
from jobs.domain.stock.product_sheets import newest
from jobs.domain.workshop.accounts import make_token
from jobs.models import (
    Appointment,
    Blackout,
    Board,
    Client,
    ClientLink,
    ClientQuestion,
    Commission,
    Cost,
    DayOff,
    Delivery,
    Equipment,
    MoistureReading,
    Note,
    Offer,
    Paper,
    Payment,
    Person,
    Picture,
    Piece,
    PushAddress,
    Reading,
    RouteTemplate,
    SafetyTask,
    Stage,
    Supply,
    Token,
    Wait,
)
from jobs.models.people import Scope
from jobs.web.kit.shop_sections import SECTIONS
from jobs.web.stock.boards import VERBS as BOARD_VERBS
from jobs.web.stock.supplies import VERBS as SUPPLY_VERBS
from jobs.web.urls import urlpatterns as of_web
from tests.shop_fixtures import NOON

Made = dict[str, Any]
PART = re.compile(r"<(\w+):(\w+)>")
ENDS = {"sign-out", "health", "health-slash", "unknown", "calc-unknown"}
"""Ends the session, reports a worker that no test has, or leads nowhere."""


def _column(model: Any, name: str = "id", **only: Any) -> Callable[[Made], list[Any]]:
    return lambda made: list(model.objects.filter(**only).order_by("id").values_list(name, flat=True))


def _stages(made: Made) -> list[Any]:
    return list(Stage.objects.filter(piece__number=made["pieces"]).values_list("key", flat=True))


def _planned(made: Made) -> list[Any]:
    return list(Stage.objects.filter(piece__number=made["work"]).values_list("key", flat=True))


def _gates(made: Made) -> list[Any]:
    stage = Stage.objects.filter(piece__number=made["pieces"], key=made["stages"]).first()
    return [gate["key"] for gate in stage.spec["gates"]] if stage else []


def _offers(kind: str) -> Callable[[Made], list[Any]]:
    return _column(Offer, "number", kind=kind)


def _client_tokens(made: Made) -> list[str]:
    kept = Commission.objects.exclude(client__name_ref=FORGOTTEN_CLIENT).order_by("-id")[:3]
    owner = Person.objects.get(username="owner")
    return [make_link(owner, commission=c.number, now=datetime.now(UTC))[1] for c in kept]


def _calendar_tokens(made: Made) -> list[str]:
    return [make_token(p, label="calendar", scope="calendar", now=NOON)[1] for p in Person.objects.all()]


def _wall_tokens(made: Made) -> list[str]:
    owner = Person.objects.get(username="owner")
    return [make_token(owner, label="tablet", now=NOON, scope=Scope.WALL)[1]]


def _sheets(made: Made) -> list[str]:
    return sorted(newest(made["sheets"]))


PERIODS = (2025, 2026, "2026-Q3", "2026-07", "2026-Q5", 0, 10**12)
VALUES: dict[tuple[str, str], Callable[[Made], Sequence[Any]]] = {
    ("commissions", ""): _column(Commission, "number"),
    ("changed", ""): _column(Commission, "number"),
    ("proposal", ""): _column(Commission, "number"),
    ("work", ""): _column(Piece, "number"),
    ("work", "key"): _planned,
    ("move", ""): lambda made: Commission.Step.values,
    ("draft", ""): lambda made: [*drafted_kinds(), "quote", "x"],
    ("pieces", ""): _column(Piece, "number"),
    ("piece", ""): lambda made: list(
        Piece.objects.filter(commission__number=made["commissions"]).values_list("number", flat=True)
    ),
    ("shop", ""): lambda made: [*SECTIONS, "x"],
    ("dates", ""): _column(Appointment),
    ("appointments", ""): _column(Appointment),
    ("days-off", ""): _column(DayOff),
    ("blackouts", ""): _column(Blackout),
    ("days", ""): _column(Blackout),
    ("stages", ""): _stages,
    ("route", ""): _stages,
    ("correct", ""): _gates,
    ("say", ""): _gates,
    ("link", ""): _column(ClientLink),
    ("wood", ""): _column(Piece, "number"),
    ("client-link", ""): _column(ClientLink),
    ("offers", ""): _column(Offer, "number"),
    ("offers", "version"): lambda made: [1, 2, 3, 99],
    ("quotes", ""): _offers(Offer.Kind.QUOTE),
    ("change-orders", ""): _offers(Offer.Kind.CHANGE),
    ("papers", ""): _column(Paper, "number"),
    ("payments", ""): _column(Payment),
    ("clients", ""): _column(Client),
    ("boards", ""): _column(Board, "number"),
    ("boards", "verb"): lambda made: [*BOARD_VERBS, "x"],
    ("supplies", ""): _column(Supply),
    ("supplies", "verb"): lambda made: [*SUPPLY_VERBS, "x"],
    ("moisture", ""): _column(MoistureReading),
    ("equipment", ""): _column(Equipment),
    ("pictures", ""): _column(Picture),
    ("pictures", "size"): lambda made: ["small", "large", "x"],
    ("notes", ""): _column(Note),
    ("questions", ""): _column(ClientQuestion),
    ("waits", ""): _column(Wait),
    ("safety", ""): _column(SafetyTask),
    ("readings", ""): _column(Reading),
    ("lost-mail", ""): _column(Delivery),
    ("undelivered", ""): _column(Delivery),
    ("people", ""): _column(Person),
    ("tokens", ""): _column(Token),
    ("push", ""): _column(PushAddress),
    ("route-templates", ""): lambda made: sorted(all_routes()),
    ("route-templates", "version"): lambda made: [0, 9, *_column(RouteTemplate, "version")(made)],
    ("templates", ""): lambda made: sorted(all_routes()),
    ("sheets", ""): lambda made: ["glue", "finish"],
    ("sheets", "key"): _sheets,
    ("sheets", "sheet"): _sheets,
    ("calculator", ""): lambda made: sorted(VIEWS),
    ("calcs", ""): lambda made: [*sorted(VIEWS), "x"],
    ("problems", ""): lambda made: ["stale", "x"],
    ("receivables", ""): lambda made: [2025, 2026, 0, 10**12],
    ("bookkeeping", ""): lambda made: PERIODS,
    ("books", ""): lambda made: PERIODS,
    ("tax", ""): lambda made: PERIODS,
    ("profit", ""): lambda made: [2025, 2026, 0, 10**12],
    ("costs", ""): _column(Cost),
    ("drawings", ""): lambda made: [*DRAWINGS, "x"],
    ("data", ""): lambda made: [*SYNTAXES, "x"],
    ("c", ""): _client_tokens,
    ("wall", ""): _wall_tokens,
    ("calendar", ""): _calendar_tokens,
}
"""By the word before a part of an address; a second part after the same word also by its name."""
ODD = [
    "x",
    "2026-999",
    "0",
    "1",
    "9" * 18,
    "9" * 25,
    "%2e%2e",
    "%F0%9F%AA%B5",
    "%3Cb%3E",
    "a%27b",
    "%00",
    "%0A",
]


def patterns() -> list[tuple[str, str]]:
    """Return base and pattern of each address of pages and API, each once."""
    pages = [("/", str(url.pattern)) for url in of_web if url.name not in ENDS]
    api = [("/api/v1/", str(url.pattern)) for url in of_api if url.name not in ENDS]
    return list(dict.fromkeys([*pages, *api]))


def unknown() -> set[tuple[str, str]]:
    """Return the parts of addresses for which ``VALUES`` has no entry."""
    found = set()
    for _, pattern in patterns():
        word, seen = "", set()
        for part in pattern.split("/"):
            if named := PART.search(part):
                found.add((word, named[2] if word in seen else ""))
                seen.add(word)
            else:
                word = part
    return found - set(VALUES)


def fill(base: str, pattern: str, random: Random, *, odd: bool = False) -> str | None:
    """Return an address of this pattern for something that exists; None where nothing does."""
    made: Made = {}
    word, parts = "", []
    for part in pattern.split("/"):
        if found := PART.search(part):
            second = found[2] if word in made else ""
            values = list(VALUES[word, second](made))
            if odd and random.random() < 0.5:
                value: Any = random.choice(ODD)
            elif not values:
                return None
            else:
                value = random.choice(values[-3:] if random.random() < 0.6 else values)
            made.setdefault(word, value)
            part = part.replace(found[0], str(value))
        else:
            word = part
        parts.append(part)
    return base + "/".join(parts)
