"""Scrap bins: cured rubber kept for reuse."""

from decimal import Decimal

from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from materials.properties import Chemistry
from materials.querysets import ScrapBinQuerySet

# Of most silicones; what is taken where nobody knows better.
USUAL_DENSITY_KG_M3 = Decimal(1100)


class ScrapBin(models.Model):
    """A bag or box of cured rubber of one kind; its mass changes only through `materials.ledger`."""

    label = models.CharField(max_length=60, unique=True)
    chemistry = models.CharField(max_length=24, choices={item.value: item.label for item in Chemistry})
    family = models.CharField("maker's family", max_length=80, blank=True)
    hardness_shore_a = models.DecimalField("hardness", max_digits=4, decimal_places=1, null=True, blank=True)
    colour = models.CharField(max_length=40, blank=True)
    density_kg_m3 = models.DecimalField("density", max_digits=7, decimal_places=1, default=USUAL_DENSITY_KG_M3)
    chunk_edge_mm = models.DecimalField("edge of the chunks", max_digits=6, decimal_places=1)
    washed = models.BooleanField("washed, free of release and dust", default=False)
    origin = models.CharField("where it came from", max_length=120, blank=True)
    kept_since_on = models.DateField(default=timezone.localdate)
    place = models.CharField(max_length=80, blank=True)
    on_hand_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    reserved_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = ScrapBinQuerySet.as_manager()

    class Meta:
        ordering = ["chemistry", "label"]
        constraints = [
            models.UniqueConstraint(Lower("label"), name="scrap_label_once_whatever_case"),
            models.CheckConstraint(condition=models.Q(on_hand_g__gte=0), name="scrap_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__gte=0), name="scrap_reserved_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__lte=models.F("on_hand_g")), name="scrap_not_oversold"),
            models.CheckConstraint(condition=models.Q(chunk_edge_mm__gt=0), name="scrap_chunk_edge_positive"),
            models.CheckConstraint(condition=models.Q(density_kg_m3__gt=0), name="scrap_density_positive"),
            models.CheckConstraint(
                condition=models.Q(chemistry__in=[item.value for item in Chemistry]), name="scrap_chemistry_known"
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def free_g(self) -> Decimal:
        """What is on hand and promised to nobody."""
        return self.on_hand_g - self.reserved_g


class ScrapCut(models.Model):
    """One session of cutting or seating scrap, with the minutes it took; the studio's own rates are learnt from these."""

    class Work(models.TextChoices):
        CUTTING = "cutting", "cutting and washing"
        SEATING = "seating", "seating in the fill"

    scrap_bin = models.ForeignKey(ScrapBin, on_delete=models.PROTECT, related_name="cuts")
    work = models.CharField(max_length=8, choices=Work, default=Work.CUTTING)
    mass_g = models.DecimalField(max_digits=12, decimal_places=3)
    minutes = models.DecimalField(max_digits=7, decimal_places=1)
    person = models.ForeignKey("studio.Person", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    job_number = models.PositiveIntegerField(null=True, blank=True)
    cut_on = models.DateField(default=timezone.localdate)
    movement = models.OneToOneField("materials.Movement", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-cut_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(mass_g__gt=0, minutes__gt=0), name="cut_weighs_and_takes_time"),
        ]

    def __str__(self) -> str:
        return f"{self.get_work_display()}, {self.mass_g} g of {self.scrap_bin}"
