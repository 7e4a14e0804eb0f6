"""Reminders as pushes, through the addresses that a person gave as Apprise URLs.

An address is a secret: its holder can push to that phone. It is never logged, shown or kept in a reason.
After a lost answer a service gets the push twice, because a push has no id.
"""

import logging
import re
import threading
from typing import Any
from urllib.parse import unquote_plus

from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone

from jobs.core.errors import Invalid, NotFound, NotSent
from jobs.domain.reminders.channels.outside import is_allowed, to_the_outside
from jobs.domain.reminders.wording import Wording
from jobs.models import Person, PushAddress

MOST_ADDRESSES = 3
LONGEST_URL, LONGEST_LABEL = 2000, 80
LONGEST_WAIT_S = 4.0
"""Seconds for the connection, and again for the answer: a slow service must not hold up the sweep."""
SCHEMES = (
    "json", "jsons", "xml", "xmls", "form", "forms", "apprise", "apprises", "ntfy", "ntfys", "gotify",
    "gotifys", "bark", "barks", "pjet", "pjets", "pushdeer", "pushdeers", "mmost", "mmosts", "rocket",
    "rockets", "signal", "signals", "hassio", "hassios", "pover", "pbul", "tgram", "discord", "slack",
    "zulip", "spush", "prowl", "join", "ifttt", "pushme", "push", "psafer", "psafers", "wxteams", "gchat",
    "line", "revolt", "guilded",
)  # fmt: skip
"""Services that use HTTP and neither show nor store anything on this machine."""
NO_OPTIONS = ("template", "file", "attach", "redirect", "store", "path")
"""Parts of names of options that read files here or lead elsewhere."""
CAUSES = {
    "timed out": "no answer in time",
    "refused": "connection refused",
    "CERTIFICATE": "its certificate is not trusted",
    "resolve": "its name is not known",
    "getaddrinfo": "its name is not known",
    "Name or service": "its name is not known",
}
"""Words in the library's message about a failed connection -> our reason."""


def reachable() -> QuerySet[Person]:
    return Person.objects.filter(is_active=True, push_addresses__isnull=False).distinct()


def send(person: Person, words: Wording, message_id: str) -> None:
    """Push to each address of the person; one success is enough."""
    problems = [problem for one in _addresses(person) if (problem := _push(one, words))]
    if len(problems) == person.push_addresses.count():
        raise NotSent("; ".join(problems) or "there is no push address any more")


def secrets_of(person: Person) -> dict[str, str]:
    return {}  # each reason was cleared of secrets where it arose


def try_out(person: Person) -> None:
    """Send a test push; refuse with the answer of each address that failed."""
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
    """Store a push address of this person."""
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
    _check_url(url, scheme)
    return PushAddress.objects.create(
        person=person, url=url, label=label or f"{scheme}://…", added_at=timezone.now()
    )


def _check_url(url: str, scheme: str) -> None:
    shown = f"{scheme[:20]}://(not shown)"
    if scheme and scheme not in SCHEMES:
        raise Invalid(
            "no service of this kind is pushed to", field="url", value=shown, allowed=", ".join(SCHEMES)
        )
    for option in _options(url):
        if any(part in option for part in NO_OPTIONS):
            raise Invalid(
                f"the option {option[:20]} is not taken", field="url", value=shown, allowed="no such option"
            )
    service = _service(url) if len(url) <= LONGEST_URL and url.isprintable() else None
    if service is None:
        raise Invalid(
            "not an address for pushes", field="url", value=shown,
            allowed="the address of a push service, such as json://host/path",
        )  # fmt: skip
    if _is_private(str(getattr(service, "host", "") or "")):
        raise Invalid(
            "an address of this machine or of a private network", field="url", value=shown,
            allowed="an address in the internet, or in a network that SHOP_PUSH_NETWORKS names",
        )  # fmt: skip


def _options(url: str) -> list[str]:
    """Return the names of the options of an address."""
    pairs = re.split("[&;]", url.partition("?")[2])
    return [unquote_plus(pair.partition("=")[0]).lower() for pair in pairs if pair]


def _is_private(host: str) -> bool:
    """Return whether a host is plainly private; the push itself checks where a name leads."""
    bare = host.strip("[]").lower()
    if bare == "localhost" or bare.endswith(".localhost"):
        return not is_allowed("127.0.0.1")
    is_number = bool(re.fullmatch(r"[0-9.]+|[0-9a-f:.]*:[0-9a-f:.]*(%.*)?", bare))
    return is_number and not is_allowed(bare)


def remove_address(person: Person, *, address: int) -> None:
    found = person.push_addresses.filter(id=address).first()
    if found is None:
        raise NotFound("there is no such address", field="address", value=address)
    found.delete()


def scheme_of(url: str) -> str:
    """Return the part of an address that may be shown: its scheme."""
    match = re.match(r"([a-z0-9+.-]{1,20})://", url, re.IGNORECASE)
    return match[1].lower() if match else ""


def _addresses(person: Person) -> list[PushAddress]:
    return list(person.push_addresses.order_by("id"))


def _push(address: PushAddress, words: Wording) -> str:
    """Push to one address; return what went wrong, or an empty text."""
    problem = _attempt(address.url, words)
    if not problem:
        PushAddress.objects.filter(id=address.id).update(sent_at=timezone.now(), error="")
        return ""
    PushAddress.objects.filter(id=address.id).update(error=problem)
    return f"{address.label}: {problem}"


def _attempt(url: str, words: Wording) -> str:
    try:
        _check_url(url, scheme_of(url))  # the address may be older than the list of services
    except Invalid as refused:
        return f"could not be sent: {refused.detail}"
    service, heard = _service(url), _Heard()
    logger = logging.getLogger("apprise")
    logger.addHandler(heard)
    try:
        with to_the_outside() as refused_hosts:
            if service.notify(body=words.brief, title=words.subject, body_format="text"):
                return ""
    except Exception as broken:  # the plugins are many: whatever one raises, the other addresses are tried
        heard.said.append(type(broken).__name__)
    finally:
        logger.removeHandler(heard)
    if refused_hosts:
        return "could not be sent: an address of this machine or of a private network"
    return f"could not be sent: {_cause(' '.join(heard.said))}"


def _cause(said: str) -> str:
    """Return the cause in known words; the service's answer may hold anything, so it is not repeated."""
    if status := re.search(r"error[= ](\d{3})\b", said):
        return f"HTTP {status[1]}"
    return next((told for part, told in CAUSES.items() if part in said), "the service took nothing")


def _service(url: str) -> Any:
    """Return the service behind an address, limited to one quick try; None where there is none."""
    from apprise import Apprise, AppriseAsset  # heavy, and most processes never push

    asset = AppriseAsset(app_id="Shop log", app_desc="Shop log", app_url=settings.PUBLIC_URL)
    service = Apprise.instantiate(url, asset=asset, suppress_exceptions=True)
    if service is not None:
        service.socket_connect_timeout = min(service.socket_connect_timeout or LONGEST_WAIT_S, LONGEST_WAIT_S)
        service.socket_read_timeout = min(service.socket_read_timeout or LONGEST_WAIT_S, LONGEST_WAIT_S)
        service.retry = 0
        service.redirects = False
    return service


class _Heard(logging.Handler):
    """The library's messages in this thread; only a status and known words of them are used."""

    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.said: list[str] = []
        self.thread = threading.get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self.thread:
            self.said.append(record.getMessage())
