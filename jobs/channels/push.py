"""Reminders as pushes, through the addresses a person gave as Apprise URLs.

An address is a secret: whoever has it can push to that phone. It is never logged, shown or kept in a reason.
A service that took a push and whose answer was lost gets it again: there is no id it would know it by.
"""

import logging
import re
import threading
from typing import Any

from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone

from jobs.channels import NotSent
from jobs.errors import Invalid, NotFound
from jobs.models import Person, PushAddress
from jobs.reminder_text import Wording

MOST_ADDRESSES = 3
LONGEST_URL, LONGEST_LABEL, LONGEST_REASON = 2000, 80, 300
LONGEST_WAIT_S = 4.0
"""For a connection, and again for an answer: a slow service must not hold up the sweep."""
ON_THIS_MACHINE = ("dbus", "glib", "gnome", "growl", "kde", "macosx", "qt", "syslog", "windows", "blink1")
"""What would speak to the server's own screen or log."""


def reachable() -> QuerySet[Person]:
    return Person.objects.filter(is_active=True, push_addresses__isnull=False).distinct()


def send(person: Person, words: Wording, message_id: str) -> None:
    """Push to each address of the person: it has gone out once one of them took it."""
    problems = [problem for one in _addresses(person) if (problem := _push(one, words))]
    if len(problems) == person.push_addresses.count():
        raise NotSent("; ".join(problems) or "there is no push address any more")


def secrets_of(person: Person) -> dict[str, str]:
    return {}  # each reason was cleared where it arose


def try_out(person: Person) -> None:
    """Send a push that says it is a test, or a refusal with what each address answered."""
    words = Wording(
        subject="Test of the shop log", text="", html="", brief=f"Pushes arrive here.\n{settings.PUBLIC_URL}/"
    )
    addresses = _addresses(person)
    problems = [problem for one in addresses if (problem := _push(one, words))]
    if problems or not addresses:
        raise Invalid(
            "; ".join(problems) or "there is no push address yet",
            field="url", value="(not shown)", allowed="an address that takes pushes",
        )  # fmt: skip


def add_address(person: Person, *, url: str, label: str = "") -> PushAddress:
    """Keep an address for pushes to this person."""
    url, label = url.strip(), label.strip()
    if len(label) > LONGEST_LABEL or not label.isprintable():
        raise Invalid(
            "not a name", field="label", value=label[:80], allowed=f"up to {LONGEST_LABEL} characters"
        )
    if person.push_addresses.count() >= MOST_ADDRESSES:
        raise Invalid(
            "there are enough addresses", field="url", value="(not shown)", allowed=f"up to {MOST_ADDRESSES}"
        )
    scheme = scheme_of(url)
    if len(url) > LONGEST_URL or not url.isprintable() or scheme in ON_THIS_MACHINE or _service(url) is None:
        raise Invalid(
            "not an address for pushes", field="url", value=f"{scheme[:20]}://(not shown)",
            allowed="an Apprise URL of a push service, such as json://host/path",
        )  # fmt: skip
    return PushAddress.objects.create(
        person=person, url=url, label=label or f"{scheme}://…", added_at=timezone.now()
    )


def remove_address(person: Person, *, address: int) -> None:
    found = person.push_addresses.filter(id=address).first()
    if found is None:
        raise NotFound("there is no such address", field="address", value=address)
    found.delete()


def scheme_of(url: str) -> str:
    """The part of an address that may be shown: which way it goes."""
    match = re.match(r"([a-z0-9+.-]{1,20})://", url, re.IGNORECASE)
    return match[1].lower() if match else ""


def _addresses(person: Person) -> list[PushAddress]:
    return list(person.push_addresses.order_by("id"))


def _push(address: PushAddress, words: Wording) -> str:
    """Push to one address; what went wrong, or nothing."""
    service, heard = _service(address.url), _Heard()
    taken, problem = False, ""
    if service is None:
        problem = "this address is not known any more"
    else:
        logger = logging.getLogger("apprise")
        logger.addHandler(heard)
        try:
            taken = bool(service.notify(body=words.brief, title=words.subject, body_format="text"))
        except Exception as broken:  # a plugin of many: whatever it does, the other addresses are tried
            problem = type(broken).__name__
        finally:
            logger.removeHandler(heard)
    if taken:
        PushAddress.objects.filter(id=address.id).update(sent_at=timezone.now(), error="")
        return ""
    reason = cleared(problem or "; ".join(heard.said) or "the service took nothing", address.url)
    PushAddress.objects.filter(id=address.id).update(error=reason)
    return f"{address.label}: {reason}"


def _service(url: str) -> Any:
    """The service behind an address, held to one quick try; None where there is none."""
    from apprise import Apprise, AppriseAsset  # heavy, and most processes never push

    asset = AppriseAsset(app_id="Shop log", app_desc="Shop log", app_url=settings.PUBLIC_URL)
    service = Apprise.instantiate(url, asset=asset, suppress_exceptions=True)
    if service is not None:
        service.socket_connect_timeout = min(service.socket_connect_timeout or LONGEST_WAIT_S, LONGEST_WAIT_S)
        service.socket_read_timeout = min(service.socket_read_timeout or LONGEST_WAIT_S, LONGEST_WAIT_S)
        service.retry = 0
    return service


def cleared(reason: str, url: str) -> str:
    """A reason without any part of the address."""
    for part in sorted(re.split(r"[/:@?&=#]+", url)[1:], key=len, reverse=True):
        if len(part) >= 4:
            reason = reason.replace(part, "…")
    return " ".join(reason.split())[:LONGEST_REASON]


class _Heard(logging.Handler):
    """What a service complained of in this thread."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []
        self.thread = threading.get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self.thread:
            self.said.append(record.getMessage())
