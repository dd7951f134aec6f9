"""Options: what a client may have besides, each with its own price."""

from django.core.validators import MinValueValidator
from django.db import models
from django.utils import timezone

from costing.models.quote import Quote, money_field


class OfferOption(models.Model):
    """An option that the next quote of a job will offer; it can be changed until that is frozen."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="offer_options")
    position = models.PositiveSmallIntegerField()
    text = models.CharField("what it is", max_length=300)
    quantity = models.DecimalField(max_digits=10, decimal_places=2, default=1)
    unit_price = money_field("price of each before tax")
    cost = money_field("what it costs the studio", null=True, blank=True)
    hours = models.DecimalField("hours of work in it", max_digits=7, decimal_places=2, null=True, blank=True)
    tax_percent = models.DecimalField("tax", max_digits=5, decimal_places=2, null=True, blank=True)
    changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(quantity__gt=0), name="offer_option_quantity_positive"),
            models.CheckConstraint(condition=models.Q(unit_price__gte=0), name="offer_option_price_not_negative"),
        ]

    def __str__(self) -> str:
        return self.text


class QuoteOption(models.Model):
    """An option as it was frozen in a quote; the client ticks it or leaves it."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="options")
    position = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    text = models.CharField(max_length=300)
    quantity = models.DecimalField(max_digits=10, decimal_places=2)
    unit_price = money_field()
    net = money_field()
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    tax = money_field()
    chosen = models.BooleanField("chosen by the client", default=False)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="quote_options_in_order"),
            models.CheckConstraint(condition=models.Q(quantity__gt=0), name="quote_option_quantity_positive"),
        ]

    def __str__(self) -> str:
        return self.text
