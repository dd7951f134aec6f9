"""Counting: a stocktake and what was weighed in it."""

from django.db import models
from django.utils import timezone


class Stocktake(models.Model):
    """One counting of the shelf; its differences are posted together, each with its reason."""

    name = models.CharField(max_length=80)
    place = models.CharField("only what stands here; empty for everything", max_length=80, blank=True)
    blind = models.BooleanField("the book is hidden while counting", default=True)
    started_at = models.DateTimeField(default=timezone.now, editable=False)
    started_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    posted_at = models.DateTimeField(null=True, blank=True)
    posted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(posted_at=None) | models.Q(dropped_at=None), name="posted_stocktake_not_dropped"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def open(self) -> bool:
        """Whether it is still being counted."""
        return self.posted_at is None and self.dropped_at is None


class StocktakeLine(models.Model):
    """One lot or bin of a stocktake: what the book said when it was weighed, and what the scale said."""

    stocktake = models.ForeignKey(Stocktake, on_delete=models.CASCADE, related_name="lines")
    lot = models.ForeignKey("materials.Lot", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    scrap_bin = models.ForeignKey("materials.ScrapBin", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    book_g = models.DecimalField("by the book when it was weighed", max_digits=12, decimal_places=3, null=True, blank=True)
    counted_g = models.DecimalField("weighed", max_digits=12, decimal_places=3, null=True, blank=True)
    counted_at = models.DateTimeField(null=True, blank=True)
    counted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    why = models.CharField("why it differs", max_length=200, blank=True)
    movement = models.OneToOneField("materials.Movement", on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(lot__isnull=False, scrap_bin__isnull=True)
                | models.Q(lot__isnull=True, scrap_bin__isnull=False),
                name="count_of_one_thing",
            ),
            models.UniqueConstraint(fields=["stocktake", "lot"], name="a_lot_is_counted_once"),
            models.UniqueConstraint(fields=["stocktake", "scrap_bin"], name="a_bin_is_counted_once"),
            models.CheckConstraint(
                condition=models.Q(counted_g__isnull=True) | models.Q(counted_g__gte=0), name="count_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stocktake}: {self.lot or self.scrap_bin}"
