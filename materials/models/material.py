"""Materials, their sourced properties and the packs they are bought in."""

from decimal import Decimal

from django.db import models
from django.utils import timezone


class Material(models.Model):
    """A rubber, resin, thickener or anything else that a job uses up."""

    class Kind(models.TextChoices):
        RUBBER = "rubber", "rubber"
        THICKENER = "thickener", "thickener"
        TINT = "tint", "tint"
        RESIN = "resin", "casting resin"
        SHELL = "shell", "shell material"
        REINFORCEMENT = "reinforcement", "reinforcement"
        RELEASE = "release", "release"
        CONSUMABLE = "consumable", "consumable"

    class Chemistry(models.TextChoices):
        PLATINUM = "platinum silicone", "platinum silicone"
        TIN = "tin silicone", "tin silicone"
        POLYURETHANE = "polyurethane", "polyurethane"
        POLYESTER = "polyester", "polyester"
        EPOXY = "epoxy", "epoxy"
        GYPSUM = "gypsum", "gypsum"
        OTHER = "other", "other"

    class MixBasis(models.TextChoices):
        WEIGHT = "weight", "A to B by weight"
        VOLUME = "volume", "A to B by volume, weighed by density"
        ON_BASE = "on base", "percent of B on the base A"
        OF_MIX = "of mix", "percent of B in the whole mix"
        SINGLE = "single", "one component"

    name = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=16, choices=Kind)
    chemistry = models.CharField(max_length=24, choices=Chemistry, default=Chemistry.OTHER)
    family = models.CharField("maker's family", max_length=80, blank=True)
    mix_basis = models.CharField(max_length=10, choices=MixBasis, default=MixBasis.SINGLE)
    sheet_revised_on = models.DateField("data sheet revised on", null=True, blank=True)
    note = models.TextField(blank=True)
    active = models.BooleanField("in use", default=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["kind", "name"]

    def __str__(self) -> str:
        return self.name


class MaterialProperty(models.Model):
    """One value of a material with its range and where it comes from; keys are those of `materials.properties`."""

    class SourceKind(models.TextChoices):
        PUBLISHED = "published", "published"
        STANDARD = "standard", "standard"
        COMMON_PRACTICE = "common practice, no source", "common practice, no source"
        FROM_MEMORY = "from memory, check", "from memory, check"
        DATA_SHEET = "data sheet", "data sheet"
        OWN = "the studio's own", "the studio's own"

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="properties")
    key = models.CharField(max_length=40)
    value = models.FloatField()
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    source_kind = models.CharField(max_length=32, choices=SourceKind, default=SourceKind.OWN)
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
    """A size that a material is bought in, with its price before tax."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="packs")
    label = models.CharField(max_length=80)
    mass_g = models.DecimalField(max_digits=12, decimal_places=3)
    price = models.DecimalField(max_digits=12, decimal_places=2)
    supplier = models.CharField(max_length=120, blank=True)
    priced_on = models.DateField(default=timezone.localdate)
    usual = models.BooleanField("the pack usually bought", default=True)

    class Meta:
        ordering = ["material", "mass_g"]
        constraints = [
            models.CheckConstraint(condition=models.Q(mass_g__gt=0), name="pack_mass_positive"),
            models.CheckConstraint(condition=models.Q(price__gte=0), name="pack_price_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.material}, {self.label}"

    @property
    def price_per_kg(self) -> Decimal:
        """Price before tax of one kilogram."""
        return self.price / self.mass_g * 1000
