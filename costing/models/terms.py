"""The terms a job is priced on, where they differ from the studio's."""

from django.db import models
from django.utils import timezone


def _none_or(**bounds: object) -> models.Q:
    (name,) = {key.split("__")[0] for key in bounds}
    return models.Q(**{f"{name}__isnull": True}) | models.Q(**bounds)


class PriceTerms(models.Model):
    """Rate, margin, tax and quantities of one job; an empty field takes the studio's value.

    `previous` holds the terms before the last change, so that it can be put back.
    """

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="price_terms")
    labour_rate_per_h = models.DecimalField("labour rate", max_digits=8, decimal_places=2, null=True, blank=True)
    overhead_per_h = models.DecimalField("overhead per hour", max_digits=8, decimal_places=2, null=True, blank=True)
    margin_percent = models.DecimalField("margin", max_digits=5, decimal_places=2, null=True, blank=True)
    tax_percent = models.DecimalField("tax", max_digits=5, decimal_places=2, null=True, blank=True)
    quantity_breaks = models.CharField("quantities to price", max_length=80, default="1, 5, 10, 25")
    extra_label = models.CharField("other expense", max_length=120, blank=True)
    extra_cost = models.DecimalField("its cost", max_digits=12, decimal_places=2, default=0)
    revision = models.PositiveIntegerField(default=0)
    previous = models.JSONField(null=True, blank=True)
    changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name_plural = "price terms"
        constraints = [
            models.CheckConstraint(
                condition=_none_or(margin_percent__gte=0, margin_percent__lt=100), name="terms_margin_below_100"
            ),
            models.CheckConstraint(condition=_none_or(labour_rate_per_h__gte=0), name="terms_rate_not_negative"),
            models.CheckConstraint(condition=_none_or(overhead_per_h__gte=0), name="terms_overhead_not_negative"),
            models.CheckConstraint(condition=_none_or(tax_percent__gte=0, tax_percent__lte=100), name="terms_tax_is_a_share"),
            models.CheckConstraint(condition=models.Q(extra_cost__gte=0), name="terms_extra_not_negative"),
        ]

    def __str__(self) -> str:
        return f"price terms of job {self.job_id}"
