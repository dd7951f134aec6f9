"""The terms a job is priced on, where they differ from the studio's."""

from django.db import models
from django.utils import timezone


def _none_or(**bounds: object) -> models.Q:
    (name,) = {key.split("__")[0] for key in bounds}
    return models.Q(**{f"{name}__isnull": True}) | models.Q(**bounds)


class PriceTerms(models.Model):
    """Rate, margin, tax and quantities of one job; an empty field takes the studio's value.

    `previous` holds the terms before the last change, so that it can be put back. `payment_stages` holds pairs of a moment
    (agreed, opened, ready) and a percentage; empty means a deposit by the studio's share, and the rest when all is ready.
    """

    class Learning(models.TextChoices):
        CUMULATIVE_AVERAGE = "cumulative", "cumulative average (Wright)"
        UNIT = "unit", "unit (Crawford)"

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="price_terms")
    labour_rate_per_h = models.DecimalField("labour rate", max_digits=8, decimal_places=2, null=True, blank=True)
    overhead_per_h = models.DecimalField("overhead per hour", max_digits=8, decimal_places=2, null=True, blank=True)
    margin_percent = models.DecimalField("margin", max_digits=5, decimal_places=2, null=True, blank=True)
    tax_percent = models.DecimalField("tax", max_digits=5, decimal_places=2, null=True, blank=True)
    quantity_breaks = models.CharField("quantities to price", max_length=80, default="1, 5, 10, 25")
    extra_label = models.CharField("other expense", max_length=120, blank=True)
    extra_cost = models.DecimalField("its cost", max_digits=12, decimal_places=2, default=0)
    mold_tax_percent = models.DecimalField("tax on the mold", max_digits=5, decimal_places=2, null=True, blank=True)
    casting_tax_percent = models.DecimalField("tax on castings", max_digits=5, decimal_places=2, null=True, blank=True)
    extra_tax_percent = models.DecimalField("tax on the other expense", max_digits=5, decimal_places=2, null=True, blank=True)
    minimum_charge = models.DecimalField("least charge", max_digits=12, decimal_places=2, null=True, blank=True)
    rush_percent = models.DecimalField("for haste", max_digits=5, decimal_places=2, default=0)
    discount_percent = models.DecimalField("discount", max_digits=5, decimal_places=2, default=0)
    discount_label = models.CharField("what the discount is for", max_length=120, blank=True)
    storage_months = models.PositiveSmallIntegerField("months of storage paid in advance", default=0)
    storage_per_month = models.DecimalField("storage, each month", max_digits=10, decimal_places=2, null=True, blank=True)
    payment_stages = models.JSONField("when which share is paid", default=list, blank=True)
    contingency_percentile = models.PositiveSmallIntegerField("cost covered in so many of 100 cases", null=True, blank=True)
    learning_percent = models.DecimalField("learning rate of castings", max_digits=5, decimal_places=2, null=True, blank=True)
    learning_model = models.CharField("model of learning", max_length=10, choices=Learning, default=Learning.CUMULATIVE_AVERAGE)
    spare_molds = models.PositiveSmallIntegerField("molds beside the first, for the run", null=True, blank=True)
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
            models.CheckConstraint(condition=_none_or(minimum_charge__gte=0), name="terms_minimum_not_negative"),
            models.CheckConstraint(condition=models.Q(rush_percent__gte=0, rush_percent__lte=300), name="terms_rush_in_range"),
            models.CheckConstraint(
                condition=models.Q(discount_percent__gte=0, discount_percent__lt=100), name="terms_discount_below_100"
            ),
            models.CheckConstraint(condition=_none_or(storage_per_month__gte=0), name="terms_storage_not_negative"),
            models.CheckConstraint(
                condition=_none_or(contingency_percentile__gte=50, contingency_percentile__lte=95),
                name="terms_contingency_in_range",
            ),
            models.CheckConstraint(
                condition=_none_or(learning_percent__gte=50, learning_percent__lte=100), name="terms_learning_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"price terms of job {self.job_id}"
