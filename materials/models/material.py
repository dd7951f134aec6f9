"""Materials, their sourced properties and the packs they are bought in."""

from decimal import Decimal

from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.querysets import MaterialQuerySet, PackQuerySet
from studio.figures import SourceKind


class Material(models.Model):
    """A rubber, resin, thickener or anything else that a job uses up."""

    class CostMethod(models.TextChoices):
        AVERAGE = "average", "moving average"
        FIFO = "fifo", "first in, first out"

    name = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=16, choices={kind.value: kind.label for kind in MaterialKind})
    chemistry = models.CharField(
        max_length=24, choices={item.value: item.label for item in Chemistry}, default=Chemistry.OTHER.value
    )
    family = models.CharField(
        "maker's family", max_length=80, blank=True, help_text="materials of one maker and line that belong together"
    )
    mix_basis = models.CharField(
        "how it is mixed",
        max_length=16,
        choices={basis.value: basis.label for basis in MixBasis},
        default=MixBasis.ONE_PART.value,
    )
    sheet_revised_on = models.DateField("data sheet revised on", null=True, blank=True)
    low_below_g = models.DecimalField("look when less than", max_digits=12, decimal_places=3, null=True, blank=True)
    cost_method = models.CharField("how its use is costed", max_length=8, choices=CostMethod, default=CostMethod.AVERAGE)
    lead_days = models.PositiveSmallIntegerField("days from order to delivery", null=True, blank=True)
    lead_spread_days = models.PositiveSmallIntegerField("days that it may be late", null=True, blank=True)
    note = models.TextField(blank=True, max_length=2000)
    active = models.BooleanField("in use", default=True)
    starter_key = models.CharField(max_length=60, unique=True, null=True, blank=True, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = MaterialQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(Lower("name"), name="material_name_once_whatever_case"),
            models.CheckConstraint(
                condition=models.Q(kind__in=[kind.value for kind in MaterialKind]), name="material_kind_known"
            ),
            models.CheckConstraint(
                condition=models.Q(chemistry__in=[item.value for item in Chemistry]), name="material_chemistry_known"
            ),
            models.CheckConstraint(
                condition=models.Q(mix_basis__in=[basis.value for basis in MixBasis]), name="material_mix_basis_known"
            ),
            models.CheckConstraint(
                condition=models.Q(low_below_g__isnull=True) | models.Q(low_below_g__gte=0), name="material_low_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def counted(self) -> bool:
        """Whether it is bought by the piece and never weighed."""
        return self.kind == MaterialKind.CONSUMABLE

    @property
    def two_part(self) -> bool:
        """Whether an A and a B belong together."""
        return self.mix_basis != MixBasis.ONE_PART


class MaterialProperty(models.Model):
    """One value of a material with its range and where it comes from; keys are those of `materials.properties`."""

    STATED = (
        SourceKind.DATA_SHEET,
        SourceKind.OWN,
        SourceKind.MEASURED,
        SourceKind.PUBLISHED,
        SourceKind.STANDARD,
        SourceKind.COMMON_PRACTICE,
        SourceKind.FROM_MEMORY,
    )

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="properties")
    key = models.CharField(max_length=40)
    value = models.FloatField()
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    source_kind = models.CharField(
        max_length=32, choices={kind.value: kind.value for kind in STATED}, default=SourceKind.OWN.value
    )
    source_text = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["key"]
        verbose_name_plural = "material properties"
        constraints = [
            models.UniqueConstraint(fields=["material", "key"], name="one_value_per_property"),
            models.CheckConstraint(
                condition=models.Q(low__isnull=True) | models.Q(low__lte=models.F("value")), name="property_low_below_value"
            ),
            models.CheckConstraint(
                condition=models.Q(high__isnull=True) | models.Q(high__gte=models.F("value")), name="property_high_above_value"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material}: {self.key}"


class Pack(models.Model):
    """A size that a material is bought in, by mass or by the piece, with its price before tax."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="packs")
    label = models.CharField(max_length=80)
    mass_g = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    pieces = models.PositiveIntegerField(null=True, blank=True)
    price = models.DecimalField(max_digits=12, decimal_places=2)
    supplier = models.CharField(max_length=120, blank=True)
    priced_on = models.DateField(default=timezone.localdate)
    usual = models.BooleanField("the pack usually bought", default=False)

    objects = PackQuerySet.as_manager()

    class Meta:
        ordering = ["material", "-usual", "mass_g", "pieces", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(mass_g__gt=0, pieces__isnull=True) | models.Q(mass_g__isnull=True, pieces__gt=0),
                name="pack_by_mass_or_by_piece",
            ),
            models.CheckConstraint(condition=models.Q(price__gte=0), name="pack_price_not_negative"),
            models.UniqueConstraint(fields=["material"], condition=models.Q(usual=True), name="one_usual_pack"),
        ]

    def __str__(self) -> str:
        return f"{self.material}, {self.label}"

    @property
    def price_per_kg(self) -> Decimal | None:
        """Price before tax of one kilogram, where it is sold by mass."""
        return None if self.mass_g is None else self.price / self.mass_g * 1000

    @property
    def price_each(self) -> Decimal | None:
        """Price before tax of one piece, where it is sold by the piece."""
        return None if self.pieces is None else self.price / self.pieces
