"""Commands on clients: add and change."""

from jobs.core.errors import Invalid
from jobs.domain import lookups
from jobs.domain.checks import (
    check_country,
    check_day,
    check_email,
    has_words,
    no_others,
    refuse_if_forgotten,
)
from jobs.domain.papers.electronic_addresses import check_buyer_reference, read_endpoint
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models.bases import row_key

LONGEST = {
    "name": 200, "email": 254, "phone": 60, "address": 1000, "postcode": 20, "city": 100, "country": 2,
    "tax_id": 60, "exempt": 500, "endpoint": 200, "buyer_reference": 100,
    "exempt_state": 60, "exempt_from": 10, "exempt_until": 10,
}  # fmt: skip
OWNERS = (
    "email", "address", "postcode", "city", "country", "tax_id", "exempt", "endpoint", "buyer_reference",
    "exempt_state", "exempt_from", "exempt_until",
)  # fmt: skip
"""Fields that only the owner changes: the address of mails with a link, and what papers rest on."""
LINES = ("address", "exempt")
"""Fields that may have several lines."""


@command
def add_client(tx: CommandTransaction, /, *, name: str, **more: str) -> None:
    """Add a client: name, e-mail, phone, address with its parts, tax number, why no tax is charged."""
    given = {**dict.fromkeys(LONGEST, ""), "name": name, **more}
    _check(given)
    tx.append("client_added", f"client:{row_key(tx.next_seq)}", _kept(given))


@command
def change_client(tx: CommandTransaction, /, *, client: int, **changes: str) -> None:
    """Change a client's data; fields not given stay. Some fields are the owner's to change."""
    found = lookups.client(client)
    tx.check_version(found.version, what="this client")
    refuse_if_forgotten(found)
    if not changes:
        raise Invalid("nothing to change", field="client", value=client, allowed=", ".join(LONGEST))
    if owners := [name for name in OWNERS if name in changes]:
        tx.require_owner(f"a client's {owners[0].replace('_', ' ')}", field=owners[0])
    _check(changes)
    tx.append("client_changed", f"client:{found.id}", {"client": found.id, **_kept(changes)})


def _check(given: dict[str, str]) -> None:
    no_others(given, LONGEST)
    if "name" in given:
        has_words(given["name"], "a client needs a name", field="name", allowed="a name")
    check_email(given.get("email", ""))
    check_country(given.get("country", ""))
    for name in ("exempt_from", "exempt_until"):
        check_day(given.get(name, ""), field=name)
    read_endpoint(given.get("endpoint", ""), field="endpoint")
    check_buyer_reference(given.get("buyer_reference", ""), field="buyer_reference")


def _kept(given: dict[str, str]) -> dict[str, dict[str, str] | None]:
    return {
        name: store_private_text(text, field=name, longest=LONGEST[name], one_line=name not in LINES)
        for name, text in given.items()
    }
