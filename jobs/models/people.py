"""People, their roles, tokens, reminder preferences and push addresses."""

import secrets
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Exists, OuterRef

from jobs.core.command_cache import read_once
from jobs.models.bases import Kept


class Role(models.TextChoices):
    OWNER = "owner", "Owner"
    MAKER = "maker", "Maker"


class LengthUnit(models.TextChoices):
    INCH = "in", "Inches and fractions"
    MILLIMETRE = "mm", "Millimetres"


class TemperatureUnit(models.TextChoices):
    FAHRENHEIT = "F", "°F"
    CELSIUS = "C", "°C"


def new_person_id() -> str:
    return "person-" + secrets.token_hex(6)


class Scope(models.TextChoices):
    """The rights of a token."""

    PERSON = "person", "All that I may do"
    READINGS = "readings", "A sensor: hands in readings, nothing else"
    CALENDAR = "calendar", "A calendar: reads my feed of times, nothing else"
    WALL = "wall", "A wall: shows work and waits, no money, no client"
    WALL_WITH_NAMES = "wall-names", "A wall: shows work, waits and clients' names, no money"


WALLS = (Scope.WALL, Scope.WALL_WITH_NAMES)
OF_ADDRESSES = (Scope.CALENDAR, *WALLS)
"""Tokens that are part of an address; they open nothing of the API."""


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, username: str, password: str | None = None, **fields: object) -> "Person":
        person = self.model(username=username, **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser, Kept):
    """A person who works here. Events hold the random id, never the name."""

    why_kept: ClassVar[str] = "names, passwords and access are personal and revocable"

    id = models.CharField(max_length=40, primary_key=True, default=new_person_id)
    username = models.CharField(max_length=60, unique=True)
    name = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.MAKER)
    unit = models.CharField(max_length=2, choices=LengthUnit.choices, default=LengthUnit.INCH)
    temperature_unit = models.CharField(
        max_length=1, choices=TemperatureUnit.choices, default=TemperatureUnit.FAHRENHEIT
    )
    reminders_by_mail = models.BooleanField(default=True)
    quiet_from = models.CharField(max_length=5, blank=True)
    quiet_to = models.CharField(max_length=5, blank=True)
    wake_for_closing = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)

    objects = PersonManager()

    USERNAME_FIELD = "username"

    @property
    def is_owner(self) -> bool:
        return self.role == Role.OWNER

    def __str__(self) -> str:
        return self.name or self.username


class Token(Kept):
    """A key for the API, stored as its hash; shown once when made."""

    why_kept: ClassVar[str] = "access is revocable and secret"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="tokens")
    label = models.CharField(max_length=80)
    scope = models.CharField(max_length=10, choices=Scope.choices, default=Scope.PERSON)
    sha256 = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)


class ReminderPreference(Kept):
    """A person's preference for one kind of reminder, where it differs from the usual one."""

    why_kept: ClassVar[str] = "how somebody wants to be told is no change to a commission"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="wishes")
    kind = models.CharField(max_length=24)
    by_mail = models.BooleanField()
    by_push = models.BooleanField()
    lead_min = models.PositiveSmallIntegerField()
    may_wake = models.BooleanField()
    repeat_min = models.PositiveSmallIntegerField()

    class Meta:
        db_table = "jobs_reminderwish"
        constraints = [models.UniqueConstraint(fields=["person", "kind"], name="one_wish_per_kind")]


class PushAddress(Kept):
    """A push address of a person. It opens a channel to a phone, so screens show only a part of it."""

    why_kept: ClassVar[str] = "a secret of its person, who may take it away"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="push_addresses")
    label = models.CharField(max_length=80)
    url = models.TextField()
    added_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)


@read_once()
def everybody() -> list[Person]:
    """Return every person who works or worked here, with ``has_wishes`` and ``has_push``."""
    wishes, pushes = (of.objects.filter(person=OuterRef("id")) for of in (ReminderPreference, PushAddress))
    return list(Person.objects.annotate(has_wishes=Exists(wishes), has_push=Exists(pushes)).order_by("id"))
