"""Quotes: an estimate frozen, numbered and dated."""

from django.db import models
from django.utils import timezone


class Quote(models.Model):
    """One version of a numbered offer; what is frozen in it never changes."""

    class State(models.TextChoices):
        OFFERED = "offered", "offered"
        SUPERSEDED = "superseded", "replaced by a later version"
        WITHDRAWN = "withdrawn", "withdrawn"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="quotes")
    number = models.PositiveIntegerField()
    version = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=12, choices=State, default=State.OFFERED)
    issued_on = models.DateField()
    valid_until_on = models.DateField()
    currency = models.CharField(max_length=3)
    net_total = models.DecimalField(max_digits=12, decimal_places=2)
    tax_total = models.DecimalField(max_digits=12, decimal_places=2)
    gross_total = models.DecimalField(max_digits=12, decimal_places=2)
    deposit = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    terms = models.TextField(blank=True)
    scope = models.TextField(blank=True)
    content = models.JSONField(default=dict)
    frozen_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    frozen_at = models.DateTimeField(default=timezone.now)
    state_changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-number", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["number", "version"], name="quote_version_once"),
            models.CheckConstraint(
                condition=models.Q(gross_total=models.F("net_total") + models.F("tax_total")), name="quote_total_adds_up"
            ),
        ]

    def __str__(self) -> str:
        return f"Quote {self.number}" if self.version == 1 else f"Quote {self.number}, version {self.version}"


class QuoteLine(models.Model):
    """One printed line of a quote."""

    class Kind(models.TextChoices):
        MOLD = "mold", "mold"
        CASTING = "casting", "casting"
        EXTRA = "extra", "extra"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=8, choices=Kind)
    text = models.CharField(max_length=300)
    quantity = models.DecimalField(max_digits=10, decimal_places=2)
    unit_price = models.DecimalField(max_digits=12, decimal_places=2)
    net = models.DecimalField(max_digits=12, decimal_places=2)
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    tax = models.DecimalField(max_digits=12, decimal_places=2)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["quote", "position"], name="quote_lines_in_order")]
