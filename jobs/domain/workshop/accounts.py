"""People and their tokens. Access stays outside the log: it is revocable and secret."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from jobs.core.command_cache import forget_all
from jobs.core.errors import Forbidden, Invalid
from jobs.core.parsing import CLOCK
from jobs.domain.checks import one_of
from jobs.domain.lookups import existing
from jobs.log.commands import lock_log
from jobs.log.projectors import Turn, refill
from jobs.models import Person, Token
from jobs.models.people import LengthUnit, Role, Scope, TemperatureUnit

CHOICES = {"role": Role.values, "unit": LengthUnit.values, "temperature_unit": TemperatureUnit.values}
EDITABLE = (
    "name", "email", "role", "unit", "temperature_unit", "reminders_by_mail", "quiet_from", "quiet_to",
    "wake_for_closing", "is_active",
)  # fmt: skip
LONGEST_NAME = 120


@transaction.atomic
def add_person(*, username: str, password: str, **fields: object) -> Person:
    """Add a person who works here."""
    username = username.strip()
    if not (0 < len(username) <= 60 and username.isprintable()):
        allowed = "1 to 60 characters"
        raise Invalid("not a sign-in name", field="username", value=username[:60], allowed=allowed)
    if Person.objects.filter(username=username).exists():
        raise Invalid("this name is taken", field="username", value=username, allowed="another name")
    _check(fields)
    _check_password(password)
    lock_log()  # the schedule is refilled below, and no command may do so at the same time
    person = Person.objects.create_user(username, password, **fields)
    forget_all()
    refill(since=Turn.ESTIMATES)
    return person


@transaction.atomic
def change_person(person: Person, *, password: str = "", **fields: object) -> Person:
    """Change a person's settings; reminders follow at once.

    A new password revokes everything made with the old one: tokens, sensors' tokens and calendar links.
    """
    _check(fields)
    if fields.get("role", person.role) != Role.OWNER or not fields.get("is_active", True):
        others = Person.objects.filter(role=Role.OWNER, is_active=True).exclude(id=person.id)
        if person.is_owner and not others.exists():
            raise Invalid(
                "the shop needs an owner", field="role", value=fields.get("role", ""), allowed="owner"
            )
    if password:
        _check_password(password)
        person.set_password(password)
        person.tokens.filter(revoked_at=None).update(revoked_at=timezone.now())
    lock_log()
    for name, value in fields.items():
        setattr(person, name, value)
    person.save()
    forget_all()
    refill(since=Turn.ESTIMATES)
    return person


def _check(fields: dict[str, object]) -> None:
    for name, value in fields.items():
        if name not in EDITABLE:
            raise Invalid("a person has no such field", field=name, value=value, allowed=", ".join(EDITABLE))
        if name in CHOICES:
            one_of(value, CHOICES[name], field=name)
        if name in ("quiet_from", "quiet_to") and value and not CLOCK.fullmatch(str(value)):
            raise Invalid("not a time of day", field=name, value=value, allowed="00:00 to 23:59, or empty")
    name = str(fields.get("name", ""))
    if len(name) > LONGEST_NAME or not name.isprintable():
        raise Invalid("not a name", field="name", value=name[:60], allowed=f"up to {LONGEST_NAME} characters")
    if email := str(fields.get("email", "")):
        try:
            validate_email(email)
        except ValidationError as wrong:
            raise Invalid(
                "not an e-mail address", field="email", value=email[:60], allowed="name@example.org"
            ) from wrong


def _check_password(password: str) -> None:
    try:
        validate_password(password)
    except ValidationError as weak:
        raise Invalid(
            " ".join(weak.messages), field="password", value="(not shown)", allowed="a longer one"
        ) from weak


def make_token(person: Person, *, label: str, now: datetime, scope: str = Scope.PERSON) -> tuple[Token, str]:
    """Return a new token and its text; the text is shown once and stored only as a hash."""
    if not (0 < len(label.strip()) <= 80):
        raise Invalid("a token needs a label", field="label", value=label[:80], allowed="1 to 80 characters")
    one_of(scope, Scope.values, field="scope", shown=40)
    text = secrets.token_urlsafe(32)
    token = Token.objects.create(
        person=person, label=label.strip(), scope=scope, sha256=token_hash(text), created_at=now
    )
    return token, text


def token_hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def find_token(text: str) -> Token | None:
    """Return the valid token of this text, if its person is active."""
    found = Token.objects.select_related("person").filter(sha256=token_hash(text), revoked_at=None).first()
    return found if found and found.person.is_active else None


def note_use(token: Token, *, now: datetime, every: timedelta) -> None:
    """Record when a token was last used, to the precision ``every``, so that few reads write."""
    if token.last_used_at is not None and token.last_used_at >= now - every:
        return
    stale = Q(last_used_at=None) | Q(last_used_at__lt=now - every)
    Token.objects.filter(stale, id=token.id).update(last_used_at=now)


def revoke_token(person: Person, *, token: int, now: datetime) -> None:
    """Revoke a person's own token; an owner may revoke anybody's."""
    found = existing(Token.objects.filter(id=token, revoked_at=None), "token", token)
    if found.person_id != person.id and not person.is_owner:
        raise Forbidden("only the owner revokes another person's token", field="token", value=token)
    found.revoked_at = now
    found.save()
