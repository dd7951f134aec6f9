"""Quotes: an estimate frozen, numbered and dated."""

from decimal import Decimal

from django.db import models
from django.utils import timezone

from costing.querysets import QuoteQuerySet

# Half of the smallest stored step: SQLite keeps decimals as binary fractions, which do not add up to the last bit.
_HAIR = Decimal("0.0005")


def money_field(verbose_name: str = "", **options: object) -> "models.DecimalField[Decimal, Decimal]":
    """Return a column for an amount already rounded to its currency, which has up to three decimals."""
    return models.DecimalField(verbose_name or None, max_digits=14, decimal_places=3, **options)  # type: ignore[arg-type]


class QuoteSequence(models.Model):
    """The last number given to a quote: one row, locked while a number is taken."""

    last_number = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_quote_sequence")]

    def __str__(self) -> str:
        return f"last quote number {self.last_number}"


class Quote(models.Model):
    """One version of a numbered offer; what is frozen in it never changes.

    `content` holds everything that its print shows; `inner` what only the studio may see: cost, hours, margin.
    """

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
    net_total = money_field()
    tax_total = money_field()
    gross_total = money_field()
    deposit = money_field(default=0)
    agreed_net = money_field("agreed before tax, with the options chosen", null=True, blank=True)
    agreed_tax = money_field("tax on what was agreed", null=True, blank=True)
    agreed_gross = money_field("agreed in all", null=True, blank=True)
    terms = models.TextField(blank=True)
    scope = models.TextField(blank=True)
    content = models.JSONField(default=dict)
    inner = models.JSONField(default=dict)
    frozen_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    frozen_at = models.DateTimeField(default=timezone.now)
    state_changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    state_changed_at = models.DateTimeField(default=timezone.now)

    objects = QuoteQuerySet.as_manager()

    class Meta:
        ordering = ["-number", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["number", "version"], name="quote_version_once"),
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(state__in=["offered", "accepted"]), name="one_standing_quote_per_job"
            ),
            models.CheckConstraint(
                condition=models.Q(gross_total__gt=models.F("net_total") + models.F("tax_total") - _HAIR)
                & models.Q(gross_total__lt=models.F("net_total") + models.F("tax_total") + _HAIR),
                name="quote_total_adds_up",
            ),
            models.CheckConstraint(
                condition=models.Q(agreed_gross__isnull=True)
                | models.Q(agreed_gross__gt=models.F("agreed_net") + models.F("agreed_tax") - _HAIR)
                & models.Q(agreed_gross__lt=models.F("agreed_net") + models.F("agreed_tax") + _HAIR),
                name="quote_agreed_adds_up",
            ),
            models.CheckConstraint(
                condition=models.Q(deposit__gte=0, deposit__lte=models.F("gross_total")), name="quote_deposit_is_a_part"
            ),
        ]

    def __str__(self) -> str:
        return f"Quote {self.number}" if self.version == 1 else f"Quote {self.number}, version {self.version}"

    @property
    def balance(self) -> Decimal:
        """What is left to pay after the deposit."""
        return self.gross_total - self.deposit


class QuoteLine(models.Model):
    """One printed line of a quote."""

    class Kind(models.TextChoices):
        MOLD = "mold", "mold"
        CASTING = "casting", "casting"
        EXTRA = "extra", "extra"
        SPARE = "spare", "further mold"
        RUSH = "rush", "for haste"
        DISCOUNT = "discount", "discount"
        MINIMUM = "minimum", "up to the least charge"
        STORAGE = "storage", "storage"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=8, choices=Kind)
    text = models.CharField(max_length=300)
    quantity = models.DecimalField(max_digits=10, decimal_places=2)
    unit_price = money_field()
    net = money_field()
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    tax = money_field()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="quote_lines_in_order"),
            models.CheckConstraint(condition=models.Q(quantity__gt=0), name="quote_line_quantity_positive"),
        ]

    def __str__(self) -> str:
        return self.text
