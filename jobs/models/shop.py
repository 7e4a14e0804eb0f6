"""The shop's own settings, product sheets and route templates, from the log."""

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State


class ShopProfile(State):
    """The shop's settings, in a single row. Name, address and the like are private texts."""

    data = CanonicalField(default=dict)
    name_ref = models.UUIDField(null=True)
    address_ref = models.UUIDField(null=True)
    postcode_ref = models.UUIDField(null=True)
    city_ref = models.UUIDField(null=True)
    country_ref = models.UUIDField(null=True)
    contact_ref = models.UUIDField(null=True)
    email_ref = models.UUIDField(null=True)
    tax_id_ref = models.UUIDField(null=True)
    payment_ref = models.UUIDField(null=True)
    terms_ref = models.UUIDField(null=True)
    person_ref = models.UUIDField(null=True)
    phone_ref = models.UUIDField(null=True)
    account_name_ref = models.UUIDField(null=True)
    iban_ref = models.UUIDField(null=True)
    bic_ref = models.UUIDField(null=True)
    endpoint_ref = models.UUIDField(null=True)
    logo_ref = models.UUIDField(null=True)
    """The name of the file of its logo, a PNG or an SVG."""
    exempt_reason_ref = models.UUIDField(null=True)
    version = models.BigIntegerField()


class Sheet(State):
    """One version of a product's data as the maker entered it; past work keeps the version it used."""

    class Kind(models.TextChoices):
        GLUE = "glue", "Glue"
        FINISH = "finish", "Finish"
        WOOD = "wood", "Wood"

    key = models.CharField(max_length=60)
    version = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    data = CanonicalField()
    set_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "version"], name="one_row_per_sheet_version")]


class RouteTemplate(State):
    """One version of a route template that the shop set, as its TOML text."""

    key = models.CharField(max_length=60)
    version = models.PositiveIntegerField()
    text = models.TextField()
    set_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["key", "version"], name="one_row_per_template_version")
        ]
