"""Clients, commissions, their pieces and the stages of a piece."""

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State


class Client(State):
    """A client. Everything personal is a private text.

    ``exempt`` is the number of a certificate and what it is for, or another reason why no tax is charged. It
    holds from ``exempt_from`` until ``exempt_until``, days as ISO 8601.
    """

    name_ref = models.UUIDField()
    email_ref = models.UUIDField(null=True)
    phone_ref = models.UUIDField(null=True)
    address_ref = models.UUIDField(null=True)
    postcode_ref = models.UUIDField(null=True)
    city_ref = models.UUIDField(null=True)
    country_ref = models.UUIDField(null=True)
    tax_id_ref = models.UUIDField(null=True)
    exempt_ref = models.UUIDField(null=True)
    exempt_state_ref = models.UUIDField(null=True)
    exempt_from_ref = models.UUIDField(null=True)
    exempt_until_ref = models.UUIDField(null=True)
    endpoint_ref = models.UUIDField(null=True)
    buyer_reference_ref = models.UUIDField(null=True)
    added_at = models.DateTimeField()
    version = models.BigIntegerField()


class Commission(State):
    """One order, numbered such as 2026-014.

    ``asks_for`` are the client's words. ``wanted_on`` is when they want it; ``promise_on`` is the promise;
    where promises compete, each counts ``promise_weight`` times.
    ``quote_declined`` holds from the client's refusal of a quote until another version is issued.
    """

    class Step(models.TextChoices):
        ENQUIRY = "enquiry", "Enquiry"
        QUOTED = "quoted", "Quoted"
        ACCEPTED = "accepted", "Accepted"
        IN_SHOP = "in the shop", "In the shop"
        READY = "ready", "Ready"
        DELIVERED = "delivered", "Delivered"
        CLOSED = "closed", "Closed"
        DECLINED = "declined", "Declined"
        CANCELLED = "cancelled", "Cancelled"

    number = models.CharField(max_length=20, unique=True)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="commissions")
    title_ref = models.UUIDField()
    notes_ref = models.UUIDField(null=True)
    asks_for_ref = models.UUIDField(null=True)
    budget = models.DecimalField(max_digits=12, decimal_places=2, null=True)
    budget_currency = models.CharField(max_length=3, blank=True)
    wanted_on = models.DateField(null=True)
    heard_ref = models.UUIDField(null=True)
    step = models.CharField(max_length=12, choices=Step.choices, default=Step.ENQUIRY)
    step_at = models.DateTimeField()
    step_reason_ref = models.UUIDField(null=True)
    promise_on = models.DateField(null=True)
    promise_weight = models.PositiveSmallIntegerField(default=1)
    price_currency = models.CharField(max_length=3, blank=True)
    tell_days = models.PositiveSmallIntegerField(null=True)
    quote_declined = models.BooleanField(default=False)
    opened_at = models.DateTimeField()
    version = models.BigIntegerField()

    ENDED = (Step.CLOSED, Step.DECLINED, Step.CANCELLED)
    UNDELIVERED = (Step.ENQUIRY, Step.QUOTED, Step.ACCEPTED, Step.IN_SHOP, Step.READY)
    """Steps in which a promised day lies ahead or is late."""
    UNDECIDED = (Step.ENQUIRY, Step.QUOTED)

    @property
    def is_refused(self) -> bool:
        """Return whether a declined quote stops the work."""
        return self.step in self.UNDECIDED and self.quote_declined


class Priced(State):
    """A line of a price, before tax unless ``with_tax``."""

    position = models.PositiveIntegerField()
    description_ref = models.UUIDField()
    quantity = models.DecimalField(max_digits=12, decimal_places=3)
    unit_code = models.CharField(max_length=8)
    unit_price = models.DecimalField(max_digits=12, decimal_places=4)
    tax_category = models.CharField(max_length=3)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3)
    with_tax = models.BooleanField(default=False)

    class Meta:
        abstract = True


class PriceLine(Priced):
    """One line of the price that the client pays."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="price_lines")


class Piece(State):
    """One piece of a commission. ``inputs`` is the request, ``computed`` holds the results with sources."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="pieces")
    number = models.CharField(max_length=26, unique=True)
    label_ref = models.UUIDField()
    quantity = models.PositiveIntegerField()
    inputs = CanonicalField()
    computed = CanonicalField()
    changed = CanonicalField(default=list)
    route_key = models.CharField(max_length=60)
    route_sha256 = models.CharField(max_length=64)
    route_edited = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)
    version = models.BigIntegerField()


class Stage(State):
    """One operation on a piece. ``spec`` is the template's entry at the time the piece took its route."""

    class Step(models.TextChoices):
        PLANNED = "planned", "Planned"
        UNDER_WAY = "under way", "Under way"
        WAITING = "waiting", "Waiting"
        DONE = "done", "Done"
        SKIPPED = "skipped", "Skipped"

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="stages")
    key = models.CharField(max_length=60)
    position = models.PositiveIntegerField()
    spec = CanonicalField()
    title_ref = models.UUIDField(null=True)
    step = models.CharField(max_length=12, choices=Step.choices, default=Step.PLANNED)
    started_at = models.DateTimeField(null=True)
    started_by = models.CharField(max_length=60, blank=True)
    finished_at = models.DateTimeField(null=True)
    finished_by = models.CharField(max_length=60, blank=True)
    minutes = models.PositiveIntegerField(null=True)
    worked_s = models.PositiveBigIntegerField(default=0)
    resumed_at = models.DateTimeField(null=True)
    attempt = models.PositiveSmallIntegerField(default=1)
    measured = CanonicalField(default=dict)
    overrides = CanonicalField(default=dict)
    left_open = CanonicalField(default=list)
    closings = CanonicalField(default=dict)
    remark_ref = models.UUIDField(null=True)
    given_to = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["piece", "key"], name="one_stage_per_piece_and_key")]
        ordering = ("piece", "position")


class Attempt(State):
    """A stage as it stood before it was redone; it stays on record."""

    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="attempts")
    number = models.PositiveSmallIntegerField()
    started_at = models.DateTimeField(null=True)
    started_by = models.CharField(max_length=60, blank=True)
    finished_at = models.DateTimeField(null=True)
    finished_by = models.CharField(max_length=60, blank=True)
    minutes = models.PositiveIntegerField(null=True)
    measured = CanonicalField(default=dict)
    overrides = CanonicalField(default=dict)
    closings = CanonicalField(default=dict)
    remark_ref = models.UUIDField(null=True)
    redone_at = models.DateTimeField()
    reason_ref = models.UUIDField(null=True)

    class Meta:
        ordering = ("stage", "number")


class Wait(State):
    """A wait that a stage leaves running. The ready time follows from ``since`` and ``ready_s``."""

    class Step(models.TextChoices):
        RUNNING = "running", "Running"
        FINISHED = "finished", "Finished"
        VOID = "void", "Void"

    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="waits")
    kind = models.CharField(max_length=40)
    title = models.CharField(max_length=120)
    holds = CanonicalField(default=list)
    since = models.DateTimeField()
    ready_s = models.BigIntegerField(null=True)
    closes_s = models.BigIntegerField(null=True)
    basis = CanonicalField(default=dict)
    suspect = models.BooleanField(default=False)
    reason = models.TextField(blank=True)
    step = models.CharField(max_length=10, choices=Step.choices, default=Step.RUNNING, db_index=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("since", "id")
