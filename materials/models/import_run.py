"""Tables that were read in: shown first, kept whole or not at all."""

from django.db import models
from django.utils import timezone


class ImportRun(models.Model):
    """One file of materials, lots or scrap as it was read, with what is wrong in it."""

    class Kind(models.TextChoices):
        MATERIALS = "materials", "materials and packs"
        LOTS = "lots", "lots on the shelf"
        SCRAP = "scrap", "scrap bins"

    kind = models.CharField(max_length=10, choices=Kind)
    file_name = models.CharField(max_length=200)
    rows = models.JSONField("the rows as read", default=list)
    problems = models.JSONField("what is wrong, by row and column", default=list)
    read_at = models.DateTimeField(default=timezone.now, editable=False)
    read_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    kept_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-read_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kept_at=None) | models.Q(dropped_at=None), name="kept_import_not_dropped"),
        ]

    def __str__(self) -> str:
        return f"{self.file_name}, {self.get_kind_display()}"

    @property
    def open(self) -> bool:
        """Whether it is still to be kept or dropped."""
        return self.kept_at is None and self.dropped_at is None
