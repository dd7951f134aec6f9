"""The plan: how the job is made."""

from decimal import Decimal

from django.db import models
from django.utils import timezone


class Plan(models.Model):
    """What a person decides about the mold; everything else is computed from it."""

    class ShellKind(models.TextChoices):
        LAMINATE = "laminate", "glass and polyester"
        PLASTER = "plaster", "fibred plaster"
        PUTTY = "putty", "epoxy putty"
        BRUSHED = "brushed", "brushed plastic"
        NONE = "none", "no shell"

    class Making(models.TextChoices):
        BRUSHED = "brushed", "brushed, coat over coat"
        POURED = "poured", "poured into the gap under a shell"
        BLOCK = "block", "poured as a block in a box"

    class Deairing(models.TextChoices):
        THIN = "thin", "thin first coats"
        VACUUM = "vacuum", "vacuum"
        NONE = "none", "none"

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="plan")
    making = models.CharField("how the rubber is laid", max_length=10, choices=Making, default=Making.BRUSHED)
    molds = models.PositiveSmallIntegerField("molds made", default=1)
    rubber = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    thickener = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    tint = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    release = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    sealer = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    thicken_print_coat = models.BooleanField("thicken the print coat", default=False)
    people_per_coat = models.PositiveSmallIntegerField("people brushing at once", default=1)
    temperature_c = models.DecimalField("temperature of the day", max_digits=4, decimal_places=1, default=Decimal("21"))
    night_temperature_c = models.DecimalField("temperature at night", max_digits=4, decimal_places=1, null=True, blank=True)
    humidity_percent = models.DecimalField("humidity of the room", max_digits=4, decimal_places=1, null=True, blank=True)
    deairing = models.CharField("how air gets out", max_length=10, choices=Deairing, blank=True, default="")
    positions = models.PositiveSmallIntegerField("positions the piece is turned through", null=True, blank=True)

    wall_mm = models.DecimalField("rubber wall", max_digits=6, decimal_places=2, default=Decimal("9.5"))
    print_coat_mm = models.DecimalField("print coat", max_digits=5, decimal_places=2, default=Decimal("0.8"))
    closing_coat_mm = models.DecimalField("closing coat", max_digits=5, decimal_places=2, default=Decimal("1.0"))
    build_coats = models.PositiveSmallIntegerField("build coats", null=True, blank=True)
    cup_loss_percent = models.DecimalField("lost in cups and brushes", max_digits=4, decimal_places=1, null=True, blank=True)

    fill_volume_l = models.DecimalField("fill", max_digits=8, decimal_places=3, null=True, blank=True)
    scrap_share_percent = models.DecimalField("share of the fill with scrap", max_digits=5, decimal_places=1, default=0)
    scrap_bin = models.ForeignKey("materials.ScrapBin", on_delete=models.SET_NULL, related_name="+", null=True, blank=True)
    packing_fraction = models.DecimalField("packing of the chunks", max_digits=4, decimal_places=2, default=Decimal("0.54"))
    seam_length_mm = models.DecimalField("parting strip", max_digits=9, decimal_places=1, null=True, blank=True)

    strip_width_mm = models.DecimalField("width of the parting strip", max_digits=5, decimal_places=1, null=True, blank=True)
    strip_height_mm = models.DecimalField("height of the parting strip", max_digits=5, decimal_places=1, null=True, blank=True)
    widest_girth_mm = models.DecimalField("widest girth that must pass", max_digits=8, decimal_places=1, null=True, blank=True)
    opening_girth_mm = models.DecimalField("girth that it passes through", max_digits=8, decimal_places=1, null=True, blank=True)
    box_margin_mm = models.DecimalField("rubber round the piece in a box", max_digits=6, decimal_places=1, null=True, blank=True)
    key_spacing_mm = models.DecimalField("between keys", max_digits=6, decimal_places=1, null=True, blank=True)

    shell_kind = models.CharField(max_length=10, choices=ShellKind, default=ShellKind.LAMINATE)
    shell_pieces = models.PositiveSmallIntegerField(default=2)
    pinned_pulls = models.JSONField("pulls that a person fixed", default=list, blank=True)
    parting = models.JSONField("where a person wants two pieces to meet", null=True, blank=True)
    division_rank = models.PositiveSmallIntegerField("which of the ways found is taken", default=0)
    shell_layers = models.PositiveSmallIntegerField(default=3)
    shell_thickness_mm = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("20"))
    shell_flange_percent = models.DecimalField(
        "flanges, as a share of the shell", max_digits=5, decimal_places=1, null=True, blank=True
    )
    bolt_spacing_mm = models.DecimalField("between bolts", max_digits=6, decimal_places=1, null=True, blank=True)
    shell_matrix = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    shell_reinforcement = models.ForeignKey(
        "materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    resin = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    castings = models.PositiveIntegerField("castings", default=1)
    casting_wall_mm = models.DecimalField("wall of a casting", max_digits=6, decimal_places=2, default=Decimal("4"))
    skins = models.PositiveSmallIntegerField("skins", default=3)

    casting_tint = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    turning_rpm = models.DecimalField("turns a minute", max_digits=5, decimal_places=1, null=True, blank=True)
    turning_ratio = models.DecimalField(
        "turns of the inner axis to one of the outer", max_digits=4, decimal_places=2, null=True, blank=True
    )

    revision = models.PositiveIntegerField(default=1)
    previous = models.JSONField("the values before the last change", null=True, blank=True)
    changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(wall_mm__gt=0), name="plan_wall_positive"),
            models.CheckConstraint(
                condition=models.Q(scrap_share_percent__gte=0, scrap_share_percent__lte=100), name="plan_scrap_share_is_a_share"
            ),
            models.CheckConstraint(
                condition=models.Q(packing_fraction__gt=0, packing_fraction__lt=1), name="plan_packing_is_a_share"
            ),
            models.CheckConstraint(
                condition=models.Q(cup_loss_percent__gte=0, cup_loss_percent__lt=60), name="plan_loss_is_a_share"
            ),
            models.CheckConstraint(condition=models.Q(shell_pieces__gte=1), name="plan_shell_has_a_piece"),
            models.CheckConstraint(condition=models.Q(castings__gte=1, skins__gte=1), name="plan_casts_something"),
            models.CheckConstraint(condition=models.Q(molds__gte=1, molds__lte=20), name="plan_makes_a_mold"),
            models.CheckConstraint(
                condition=models.Q(humidity_percent__isnull=True) | models.Q(humidity_percent__gte=0, humidity_percent__lte=100),
                name="plan_humidity_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return f"plan of job {self.job_id}"


class OwnMinutes(models.Model):
    """Minutes that a person set for one task of a plan, in place of the computed ones."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="own_minutes")
    task_key = models.CharField(max_length=60)
    minutes = models.DecimalField(max_digits=8, decimal_places=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["plan", "task_key"], name="one_own_time_per_task"),
            models.CheckConstraint(condition=models.Q(minutes__gte=0), name="own_minutes_not_negative"),
        ]

    def __str__(self) -> str:
        return self.task_key


class KeptPlan(models.Model):
    """Decisions kept under a name beside the plan in use, so that another way of the same job is not lost."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="kept_plans")
    name = models.CharField(max_length=80)
    decisions = models.JSONField("what was decided")
    kept_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    kept_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="one_kept_plan_per_name")]

    def __str__(self) -> str:
        return self.name
