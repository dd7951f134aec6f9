"""What the ledger's lines come to in mass and money, for each pool that is costed as one; kept by `materials.ledger` alone."""

from django.db import models
from django.utils import timezone

from materials.models.lot import Lot
from materials.models.material import Material
from materials.querysets import StockBookQuerySet


class StockBook(models.Model):
    """One part of one material over all its lots, or one bin of scrap."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, null=True, blank=True, related_name="books")
    component = models.CharField(max_length=6, choices=Lot.Component, blank=True)
    scrap_bin = models.OneToOneField("materials.ScrapBin", on_delete=models.CASCADE, null=True, blank=True, related_name="book")
    method = models.CharField(max_length=8, choices=Material.CostMethod, default=Material.CostMethod.AVERAGE)
    on_hand_g = models.DecimalField(max_digits=14, decimal_places=3, default=0)
    value = models.DecimalField(max_digits=15, decimal_places=4, default=0)
    used_g = models.DecimalField("used since the first line", max_digits=14, decimal_places=3, default=0)
    used_value = models.DecimalField("what that use cost", max_digits=15, decimal_places=4, default=0)
    moved_at = models.DateTimeField(null=True, blank=True)

    objects = StockBookQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["material", "component"], name="one_book_a_part"),
            models.CheckConstraint(
                condition=models.Q(material__isnull=False, scrap_bin__isnull=True)
                | models.Q(material__isnull=True, scrap_bin__isnull=False),
                name="book_of_one_thing",
            ),
            models.CheckConstraint(condition=models.Q(on_hand_g__gte=0, value__gte=0), name="book_not_negative"),
            models.CheckConstraint(condition=models.Q(on_hand_g__gt=0) | models.Q(value=0), name="nothing_is_worth_nothing"),
        ]

    def __str__(self) -> str:
        part = f", {self.get_component_display()}" if self.component in {Lot.Component.A, Lot.Component.B} else ""
        return f"{self.material or self.scrap_bin}{part}"


class CostLayer(models.Model):
    """What came in together and has not gone out, where the first in goes out first; the lowest place is the oldest."""

    book = models.ForeignKey(StockBook, on_delete=models.CASCADE, related_name="layers", db_index=False)
    place = models.BigIntegerField()
    line = models.ForeignKey("materials.Movement", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    mass_g = models.DecimalField(max_digits=14, decimal_places=3)
    value = models.DecimalField(max_digits=15, decimal_places=4)

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["book", "place"], name="one_layer_a_place"),
            models.CheckConstraint(condition=models.Q(mass_g__gt=0, value__gte=0), name="layer_is_something"),
        ]

    def __str__(self) -> str:
        return f"{self.mass_g} g of {self.book}"


class CostMethodChosen(models.Model):
    """From when on a material is costed how; the stock was carried over at its worth in the books."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="cost_methods")
    method = models.CharField(max_length=8, choices=Material.CostMethod)
    chosen_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    chosen_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.material}: {self.get_method_display()}"
