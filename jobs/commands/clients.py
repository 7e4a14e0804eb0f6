"""Clients: add and change."""

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from jobs import lookups
from jobs.errors import Invalid
from jobs.log import Writing, command
from jobs.models.bases import row_key
from jobs.private import keep

LONGEST = {"name": 200, "email": 254, "phone": 60, "address": 1000}


@command
def add_client(log: Writing, *, name: str, email: str = "", phone: str = "", address: str = "") -> None:
    """Add somebody who orders."""
    given = {"name": name, "email": email, "phone": phone, "address": address}
    _check(given)
    log.append("client_added", f"client:{row_key(log.next_seq)}", _kept(given))


@command
def change_client(log: Writing, /, *, client: int, **changes: str) -> None:
    """Change what is known of a client; what is not given stays."""
    found = lookups.client(client)
    log.seen(found.version, what="this client")
    if not changes:
        raise Invalid("nothing to change", field="client", value=client, allowed=", ".join(LONGEST))
    _check(changes)
    log.append("client_changed", f"client:{found.id}", {"client": found.id, **_kept(changes)})


def _check(given: dict[str, str]) -> None:
    if "name" in given and not given["name"].strip():
        raise Invalid("a client needs a name", field="name", value=given["name"], allowed="a name")
    if given.get("email", "").strip():
        try:
            validate_email(given["email"].strip())
        except ValidationError as wrong:
            raise Invalid(
                "not an e-mail address", field="email", value=given["email"], allowed="name@example.org"
            ) from wrong


def _kept(given: dict[str, str]) -> dict[str, dict[str, str] | None]:
    return {name: keep(text, field=name, longest=LONGEST[name]) for name, text in given.items()}
