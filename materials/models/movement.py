"""Movements: the append-only ledger lines."""

from django.db import models
from django.utils import timezone

from materials.querysets import MovementQuerySet


class Movement(models.Model):
    """One line of the ledger; never changed, corrected only by a reversing line.

    Triggers in the database refuse to change or delete a line, see `materials.models.append_only`.
    """

    class Kind(models.TextChoices):
        RECEIVE = "receive", "received"
        ISSUE = "issue", "used"
        RESERVE = "reserve", "reserved"
        RELEASE = "release", "released"
        RETURN = "return", "returned"
        ADJUST = "adjust", "adjusted by count"
        CUT = "cut", "cut into scrap"
        DISCARD = "discard", "discarded"
        MOVE = "move", "moved"
        REVERSE = "reverse", "undone"

    OF_USE = (Kind.ISSUE, Kind.RETURN)
    # What was used, what came back of it, and what undoes either.
    IS_USE = models.Q(kind__in=OF_USE) | models.Q(reverses__kind__in=OF_USE)

    kind = models.CharField(max_length=10, choices=Kind)
    lot = models.ForeignKey(
        "materials.Lot", on_delete=models.PROTECT, null=True, blank=True, related_name="movements", db_index=False
    )
    scrap_bin = models.ForeignKey(
        "materials.ScrapBin", on_delete=models.PROTECT, null=True, blank=True, related_name="movements", db_index=False
    )
    material = models.ForeignKey(
        "materials.Material", on_delete=models.PROTECT, null=True, blank=True, related_name="movements", db_index=False
    )
    mass_g = models.DecimalField("change on hand", max_digits=12, decimal_places=3, default=0)
    reserved_g = models.DecimalField("change reserved", max_digits=12, decimal_places=3, default=0)
    unit_cost_per_kg = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    value = models.DecimalField("change of value", max_digits=15, decimal_places=4, default=0)
    # What stood after the line: the last line before a moment tells what was on hand, worth and used by then.
    left_g = models.DecimalField("on hand after it", max_digits=12, decimal_places=3, null=True, blank=True)
    book = models.ForeignKey(
        "materials.StockBook", on_delete=models.PROTECT, null=True, blank=True, related_name="lines", db_index=False
    )
    book_g = models.DecimalField("in the book after it", max_digits=14, decimal_places=3, null=True, blank=True)
    book_value = models.DecimalField("worth of the book after it", max_digits=15, decimal_places=4, null=True, blank=True)
    book_used_g = models.DecimalField("used up to it", max_digits=14, decimal_places=3, null=True, blank=True)
    book_used_value = models.DecimalField("cost of that use", max_digits=15, decimal_places=4, null=True, blank=True)
    job_number = models.PositiveIntegerField(null=True, blank=True)
    why = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey("studio.Account", on_delete=models.PROTECT, null=True, blank=True, related_name="movements")
    happened_at = models.DateTimeField(default=timezone.now)
    idempotency_key = models.CharField(max_length=64, unique=True)
    payload_sha256 = models.CharField(max_length=64)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["job_number"], name="movement_job"),
            models.Index(fields=["lot", "job_number"], name="movement_lot_job"),
            models.Index(fields=["scrap_bin", "job_number"], name="movement_bin_job"),
            models.Index(fields=["lot", "id"], name="movement_of_lot"),
            models.Index(fields=["scrap_bin", "id"], name="movement_of_bin", condition=models.Q(scrap_bin__isnull=False)),
            models.Index(fields=["material", "id"], name="movement_of_material"),
            models.Index(fields=["book", "happened_at", "id"], name="movement_of_book", condition=models.Q(book__isnull=False)),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(lot__isnull=False, scrap_bin__isnull=True)
                | models.Q(lot__isnull=True, scrap_bin__isnull=False),
                name="movement_of_one_thing",
            ),
            models.CheckConstraint(condition=~models.Q(mass_g=0, reserved_g=0), name="movement_moves_something"),
            models.CheckConstraint(
                condition=models.Q(kind="reverse", reverses__isnull=False)
                | (~models.Q(kind="reverse") & models.Q(reverses__isnull=True)),
                name="reversal_names_its_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.mass_g or self.reserved_g} g"
