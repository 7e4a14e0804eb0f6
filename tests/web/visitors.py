"""People who open and send anything: every result is an answer or a named refusal, never a fault."""

import logging
from random import Random
from typing import Any
from urllib.parse import urlencode

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.api.kit.errors import MEDIA_TYPE
from jobs.models import Person
from tests.api.client import Api
from tests.web.addresses import ODD, fill, patterns
from tests.web.hand import COUNTS, LENGTHS, NUMBERS, ODD_COUNTS, ODD_LENGTHS, ODD_NUMBERS, ODD_WORDS, WORDS
from tests.web.pages import Form, Page, Pages

TYPED = [
    *WORDS, *ODD_WORDS, *LENGTHS, *ODD_LENGTHS, *NUMBERS, *ODD_NUMBERS, *map(str, [*COUNTS, *ODD_COUNTS]),
    *ODD,
    "0001-01-01", "9999-12-31", "2026-02-30", "2026-03-29T02:30", "0001-01-01T00:00", "9999-12-31T23:59",
    "yes",
    "\x00", "9" * 5000, "[" * 500, "25:61", "on", "½", "-", "1,5", "1;2;3", "key = [[[",
]  # fmt: skip
QUERIES = (
    "all", "answer", "asked", "answered", "before", "board", "client", "cursor", "days", "events", "next",
    "page",
    "piece", "seen", "show", "state", "step", "unit", "text", "place", "from", "to", "limit", "kind",
    "commission",
    "since", "stream", "year", "person", "value", "species", "temperature_unit", "route", "length",
    "form_key", "q",
)  # fmt: skip
MAY_WAIT = ("being-prepared", "cannot-render")


class Faults(logging.Handler):
    """Keeps the exception behind an internal error of the API."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.last: BaseException | None = None

    def emit(self, record: logging.LogRecord) -> None:
        if record.exc_info and record.exc_info[1]:
            self.last = record.exc_info[1]


class Visitors:
    """The owner, a maker and somebody from outside, at pages and API."""

    def __init__(self) -> None:
        self.faults = Faults()
        logging.getLogger("jobs.api.kit.errors").addHandler(self.faults)
        owner, maker = Person.objects.get(username="owner"), Person.objects.filter(role="maker").first()
        everybody = (owner, maker, None)
        self.pages, self.api = [Pages(p) for p in everybody], [Api(p) for p in everybody]
        for door in (*self.pages, *self.api):
            door.http.raise_request_exception = True
        self.opened = 0

    def leave(self) -> None:
        logging.getLogger("jobs.api.kit.errors").removeHandler(self.faults)

    def who(self, random: Random) -> int:
        return random.choices((0, 1, 2), (6, 2, 1))[0]

    def open(self, address: str, who: int = 0) -> Any:
        """Open a page or ask the API."""
        cache.clear()
        door = self.api[who] if address.startswith("/api/") else self.pages[who].http
        return self.answered(door.get(address), f"GET {address}")

    def open_one_of_each(self, random: Random, share: float = 1.0) -> None:
        """Open an address of every pattern for which something exists."""
        for base, pattern in patterns():
            if random.random() < share and (address := fill(base, pattern, random)):
                self.open(address, self.who(random))

    def open_oddly(self, random: Random) -> None:
        """Open addresses that lead nowhere, with odd query parameters."""
        base, pattern = random.choice(patterns())
        address = fill(base, pattern, random, odd=random.random() < 0.5)
        if address is None:
            return
        names = random.sample(QUERIES, random.randint(0, 4))
        query = urlencode({name: random.choice(TYPED)[:2000] for name in names})
        self.open(f"{address}?{query}", self.who(random))

    def send_oddly(self, random: Random) -> None:
        """Take a form from a page, type into some of its fields, send it."""
        base, pattern = random.choice([p for p in patterns() if p[0] == "/"])
        address, who = fill(base, pattern, random), self.who(random)
        if address is None:
            return
        answer = self.open(address, who)
        if answer.status_code >= 400 or "html" not in answer.headers.get("Content-Type", ""):
            form = Form(address, {"form_key": str(random.random()), "form_seen": "", "reason": "so agreed"})
        elif not (forms := Page(answer).forms):
            return
        else:
            form = random.choice(forms)
        typed: dict[str, Any] = dict(form.typed)
        for name in random.sample(sorted(typed), min(len(typed), random.choice([0, 1, 1, 2, 6]))):
            typed[name] = random.choice(TYPED)
        if "picture" in typed:
            typed["picture"] = SimpleUploadedFile(random.choice(["a.jpg", "<b>.png", "ü"]), b"no picture")
        self.post(form.action or address, typed, who)

    def post(self, address: str, typed: dict[str, Any], who: int) -> Any:
        cache.clear()
        if not address.startswith("/"):
            return None
        return self.answered(self.pages[who].http.post(address, typed), f"POST {address} {typed}")

    def answered(self, answer: Any, asked: str) -> Any:
        """Check that an answer is a result or a refusal that says what is wrong."""
        self.opened += 1
        if answer.status_code >= 500 and not self._may_wait(answer, asked):
            raise AssertionError(f"{answer.status_code}: {asked}") from self.faults.last
        if answer.status_code >= 400 and "/api/" in asked:
            assert answer.headers["Content-Type"] == MEDIA_TYPE, asked
            assert answer.data["code"] and answer.data["detail"], asked
        elif (
            answer.status_code >= 400
            and answer.status_code != 405
            and "html" in answer.headers.get("Content-Type", "")
        ):
            assert Page(answer).words, asked
        return answer

    def _may_wait(self, answer: Any, asked: str) -> bool:
        if answer.status_code != 503:
            return False
        if "/api/" in asked:
            return "/health" in asked or answer.data["code"] in MAY_WAIT
        return asked.partition("?")[0].endswith("/pdf/") and "is being prepared" in Page(answer).words
