"""The piece and how it was measured: tape readings, scan files, the takeoff."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from jobs.geometry.solids import SolidKind
from materials.science.compatibility import Surface

SURFACES = [(surface.value, surface.label) for surface in Surface]
SHAPES = [(kind.value, kind.value) for kind in SolidKind]
MAX_SOLIDS_OF_A_KIND = 50


class Piece(models.Model):
    """The original object that is molded."""

    class MeasuredBy(models.TextChoices):
        NONE = "none", "not measured yet"
        TAPE = "tape", "with a tape"
        SCAN = "scan", "from a scan"

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="piece")
    name = models.CharField(max_length=120)
    surface = models.CharField("what its surface is", max_length=24, choices=SURFACES, default=Surface.UNKNOWN.value)
    sealed = models.BooleanField("sealed", default=False)
    mass_g = models.DecimalField("weight", max_digits=12, decimal_places=3, null=True, blank=True)
    measured_by = models.CharField(max_length=6, choices=MeasuredBy, default=MeasuredBy.NONE)
    stands_on_board = models.BooleanField("stands on a board", default=True)
    flange_width_mm = models.DecimalField("board flange around the base", max_digits=8, decimal_places=2, default=75)
    texture_height_mm = models.DecimalField("height of the texture", max_digits=7, decimal_places=3, default=0)
    texture_spacing_mm = models.DecimalField("spacing of the texture", max_digits=7, decimal_places=3, default=0)
    note = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class GirthReading(models.Model):
    """One girth of the stack, from the bottom up, with the distance along the surface to the next."""

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="girths")
    position = models.PositiveSmallIntegerField()
    girth_mm = models.DecimalField("girth", max_digits=9, decimal_places=2)
    along_mm = models.DecimalField("along the surface to the next", max_digits=9, decimal_places=2, null=True, blank=True)
    height_mm = models.DecimalField("height to the next", max_digits=9, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["piece", "position"], name="girths_in_order"),
            models.CheckConstraint(condition=models.Q(girth_mm__gte=0), name="girth_not_negative"),
        ]

    def __str__(self) -> str:
        return f"girth {self.position}"


class SolidReading(models.Model):
    """A simple solid added to the stack (an arm, an ear) or a hollow taken away."""

    class Sense(models.TextChoices):
        ADDED = "added", "added"
        TAKEN = "taken", "hollow, taken away"

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="solids")
    position = models.PositiveSmallIntegerField(default=0)
    label = models.CharField(max_length=80, blank=True)
    shape = models.CharField(max_length=12, choices=SHAPES)
    sense = models.CharField(max_length=6, choices=Sense, default=Sense.ADDED)
    count = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(MAX_SOLIDS_OF_A_KIND)]
    )
    contact_area_mm2 = models.DecimalField("contact or mouth, as an area", max_digits=12, decimal_places=2, null=True, blank=True)
    through = models.BooleanField("goes right through", default=False)
    length_mm = models.DecimalField("length or diameter", max_digits=9, decimal_places=2)
    width_mm = models.DecimalField("width or second diameter", max_digits=9, decimal_places=2, null=True, blank=True)
    height_mm = models.DecimalField("height or depth", max_digits=9, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(length_mm__gt=0), name="solid_length_positive"),
            models.CheckConstraint(condition=models.Q(count__gte=1), name="solid_count_positive"),
        ]

    def __str__(self) -> str:
        return self.label or self.shape


class ScanFile(models.Model):
    """An uploaded mesh. Without a unit the worker looks at it and asks; with one it measures it, or says why not."""

    class State(models.TextChoices):
        QUEUED = "queued", "waits for the worker"
        READING = "reading", "being read"
        ASKED = "asked", "its unit is asked"
        READY = "ready", "measured"
        REFUSED = "refused", "refused"

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="scans")
    uploaded_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    original_name = models.CharField(max_length=200)
    stored_name = models.CharField(max_length=200)
    file_format = models.CharField(max_length=20)
    size_bytes = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    unit = models.CharField(max_length=4, blank=True)
    up_axis = models.CharField(max_length=2, default="z")
    state = models.CharField(max_length=8, choices=State, default=State.QUEUED)
    reason = models.TextField(blank=True)
    facts = models.JSONField("what was seen at the first look", default=dict)
    wishes = models.JSONField("board, flange and texture", default=dict)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField(default=timezone.now)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.original_name


class TakeoffRecord(models.Model):
    """The quantities read off the piece, as the geometry computed them; the one put to use last holds."""

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="takeoffs")
    method = models.CharField(max_length=6, choices=Piece.MeasuredBy)
    scan = models.ForeignKey(ScanFile, on_delete=models.SET_NULL, null=True, blank=True, related_name="takeoffs")
    area_m2 = models.FloatField()
    volume_m3 = models.FloatField()
    content = models.JSONField()
    readings = models.JSONField("the readings it was computed from", default=dict)
    shape = models.JSONField("the scan it was read from: fingerprint, unit, up, board", default=dict)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    used_at = models.DateTimeField("put to use", default=timezone.now)

    class Meta:
        ordering = ["-used_at", "-pk"]
        get_latest_by = ["used_at", "pk"]
        constraints = [models.CheckConstraint(condition=models.Q(area_m2__gt=0), name="takeoff_area_positive")]

    def __str__(self) -> str:
        return f"{self.get_method_display()} {self.created_at:%Y-%m-%d %H:%M}"
