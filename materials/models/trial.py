"""Trials: what the studio timed or measured of a material itself, and the values it took over from them."""

from django.db import models
from django.utils import timezone

from materials.querysets import TrialQuerySet


class MaterialTrial(models.Model):
    """One cup timed or one card looked at; a removed one stays, does not count, and can be brought back."""

    class Kind(models.TextChoices):
        POT_LIFE = "pot_life", "pot life"
        GEL = "gel", "gel"
        DEMOLD = "demold", "demold"
        HELD = "held", "held thickness"

    material = models.ForeignKey("materials.Material", on_delete=models.CASCADE, related_name="trials")
    kind = models.CharField(max_length=10, choices=Kind)
    temperature_c = models.FloatField("temperature")
    value = models.FloatField(help_text="minutes, or millimetres of a held thickness")
    slope_deg = models.FloatField("slope from level", null=True, blank=True)
    timed_on = models.DateField(default=timezone.localdate)
    lot = models.ForeignKey("materials.Lot", on_delete=models.SET_NULL, null=True, blank=True, related_name="trials")
    person = models.ForeignKey("studio.Person", on_delete=models.SET_NULL, null=True, blank=True, related_name="trials")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey("studio.Account", on_delete=models.PROTECT, null=True, blank=True, related_name="trials")
    entry_key = models.CharField(max_length=64, unique=True, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = TrialQuerySet.as_manager()

    class Meta:
        ordering = ["-timed_on", "-pk"]
        indexes = [models.Index(fields=["material", "kind"], name="trial_of_material")]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=["pot_life", "gel", "demold", "held"]), name="trial_kind_known"),
            models.CheckConstraint(condition=models.Q(value__gt=0), name="trial_above_nought"),
            models.CheckConstraint(
                condition=models.Q(temperature_c__gte=5, temperature_c__lte=60), name="trial_temperature_believable"
            ),
            models.CheckConstraint(
                condition=models.Q(kind="held", slope_deg__isnull=False, slope_deg__gte=10, slope_deg__lte=90)
                | (~models.Q(kind="held") & models.Q(slope_deg__isnull=True)),
                name="trial_slope_of_a_card",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material}: {self.get_kind_display()} of {self.timed_on:%d %b %Y}"


class OwnValuesTaken(models.Model):
    """Values of a material that were replaced by the studio's own, with what stood there before, so that it can be undone.

    `before` and `after` hold for each property its value, low, high, source kind and source text, or nothing.
    """

    material = models.ForeignKey("materials.Material", on_delete=models.CASCADE, related_name="own_values_taken")
    kind = models.CharField(max_length=10, choices=MaterialTrial.Kind)
    before = models.JSONField()
    after = models.JSONField()
    by = models.ForeignKey("studio.Account", on_delete=models.PROTECT, null=True, blank=True, related_name="own_values_taken")
    taken_at = models.DateTimeField(default=timezone.now, editable=False)
    undone_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-pk"]
        verbose_name_plural = "own values taken"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=["pot_life", "gel", "demold", "held"]), name="own_values_kind_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.material}: {self.get_kind_display()} taken over"
