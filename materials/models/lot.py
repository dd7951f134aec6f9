"""Lots: delivered containers, with the balance that the ledger keeps."""

import datetime
from decimal import Decimal

from django.db import models
from django.utils import timezone

from materials.querysets import LotQuerySet


class Lot(models.Model):
    """One delivered container or kit; its masses change only through `materials.ledger`."""

    class Component(models.TextChoices):
        WHOLE = "whole", "one part"
        KIT = "kit", "A and B, not weighed apart"
        A = "A", "part A"
        B = "B", "part B"

    material = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="lots")
    component = models.CharField(max_length=6, choices=Component, default=Component.WHOLE)
    kit_code = models.CharField(
        "pairs with", max_length=40, blank=True, help_text="the same code on the A and the B that belong together"
    )
    supplier_lot = models.CharField("supplier's lot", max_length=80, blank=True)
    supplier = models.CharField(max_length=120, blank=True)
    received_on = models.DateField(default=timezone.localdate)
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    unit_cost_per_kg = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    received_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    on_hand_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    reserved_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    gel_tested_on = models.DateField("test gel made on", null=True, blank=True)
    quarantined = models.BooleanField("set aside", default=False)
    note = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = LotQuerySet.as_manager()

    class Meta:
        # First to expire, first to use; what never expires comes last.
        ordering = [models.F("expires_on").asc(nulls_last=True), "received_on", "pk"]
        indexes = [models.Index(fields=["material", "expires_on"], name="lot_by_expiry")]
        constraints = [
            models.CheckConstraint(condition=models.Q(on_hand_g__gte=0), name="lot_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__gte=0), name="lot_reserved_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__lte=models.F("on_hand_g")), name="lot_not_oversold"),
            models.CheckConstraint(condition=models.Q(received_g__gte=0), name="lot_received_not_negative"),
            models.CheckConstraint(condition=models.Q(unit_cost_per_kg__gte=0), name="lot_cost_not_negative"),
            models.CheckConstraint(condition=models.Q(component__in=["whole", "kit", "A", "B"]), name="lot_component_known"),
        ]

    def __str__(self) -> str:
        part = f", {self.get_component_display()}" if self.component in {self.Component.A, self.Component.B} else ""
        name = self.supplier_lot or (f"no. {self.pk}" if self.pk else "")
        return f"{self.material}{part}, lot {name}".strip()

    @property
    def free_g(self) -> Decimal:
        """What is on hand and promised to nobody."""
        return self.on_hand_g - self.reserved_g

    def expired_by(self, day: datetime.date) -> bool:
        """Say whether it has expired by a day; it is good through the day written on it."""
        return self.expires_on is not None and self.expires_on < day

    def usable_on(self, day: datetime.date) -> bool:
        """Say whether it may go into new work on a day: neither set aside nor expired."""
        return not self.quarantined and not self.expired_by(day)
