"""The studio's own profile: one row."""

from decimal import Decimal
from typing import ClassVar

from django.db import models


class ProfileManager(models.Manager["StudioProfile"]):
    """Reach the one profile row."""

    def current(self) -> "StudioProfile":
        """Return the profile, making it with defaults the first time."""
        profile, _ = self.get_or_create(pk=1)
        return profile


class StudioProfile(models.Model):
    """Name, money, units, terms: what the whole studio shares."""

    class Units(models.TextChoices):
        METRIC = "metric", "metric (mm, kg, °C)"
        US = "us", "US customary (in, lb, °F)"

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "US Letter"

    name = models.CharField(max_length=120, default="Our studio")
    address = models.TextField(blank=True)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    website = models.URLField(blank=True)
    logo = models.FileField(upload_to="logo/", blank=True)
    registration = models.CharField("company or tax number", max_length=80, blank=True)

    currency = models.CharField(max_length=3, default="EUR")
    tax_name = models.CharField(max_length=30, default="VAT")
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("20"))
    locale = models.CharField(max_length=12, default="en_GB")
    time_zone = models.CharField(max_length=50, default="Europe/London")
    units = models.CharField(max_length=10, choices=Units, default=Units.METRIC)
    paper = models.CharField(max_length=10, choices=Paper, default=Paper.A4)

    overhead_per_year = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal("24000"))
    billable_hours_per_year = models.DecimalField(max_digits=7, decimal_places=1, default=Decimal("1200"))
    margin_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("20"))
    labour_rate_per_h = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal("25"))
    workshop_temp_c = models.DecimalField("usual workshop temperature", max_digits=4, decimal_places=1, default=Decimal("21"))

    quote_terms = models.TextField(blank=True)
    quote_valid_days = models.PositiveSmallIntegerField(default=30)
    deposit_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("50"))
    deposit_covers_special = models.BooleanField("deposit pays at least special material and the first week", default=True)
    minimum_charge = models.DecimalField("least charge for a job", max_digits=12, decimal_places=2, default=0)
    rush_percent = models.DecimalField("usual addition for haste", max_digits=5, decimal_places=2, default=Decimal("25"))
    storage_free_months = models.PositiveSmallIntegerField("months a mold is kept free", default=12)
    storage_per_month = models.DecimalField("storage after that, each month", max_digits=10, decimal_places=2, default=0)
    own_hour_value = models.DecimalField(
        "what an hour of one's own is worth", max_digits=8, decimal_places=2, null=True, blank=True
    )
    payment_due_days = models.PositiveSmallIntegerField("days to pay", default=14)
    money_hidden_from_makers = models.BooleanField("hide costs and margins from makers", default=False)

    objects: ClassVar[ProfileManager] = ProfileManager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_profile"),
            models.CheckConstraint(condition=models.Q(margin_percent__gte=0, margin_percent__lt=100), name="margin_below_100"),
            models.CheckConstraint(condition=models.Q(billable_hours_per_year__gt=0), name="billable_hours_positive"),
            models.CheckConstraint(condition=models.Q(tax_percent__gte=0, tax_percent__lte=100), name="tax_between_0_and_100"),
            models.CheckConstraint(condition=models.Q(minimum_charge__gte=0), name="minimum_charge_not_negative"),
            models.CheckConstraint(condition=models.Q(rush_percent__gte=0, rush_percent__lte=300), name="rush_in_range"),
            models.CheckConstraint(condition=models.Q(storage_per_month__gte=0), name="storage_fee_not_negative"),
        ]

    def __str__(self) -> str:
        return self.name
