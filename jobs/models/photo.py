"""Photographs of a piece, as they are shown on its page and in a quote."""

from django.db import models
from django.utils import timezone


class PiecePhoto(models.Model):
    """One photograph, written anew on upload so that nothing but the picture is kept of the file."""

    piece = models.ForeignKey("jobs.Piece", on_delete=models.CASCADE, related_name="photos")
    position = models.PositiveSmallIntegerField(default=0)
    file = models.FileField(upload_to="photos/")
    caption = models.CharField(max_length=160, blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    on_quote = models.BooleanField("shown in quotes", default=True)
    added_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.caption or f"photograph {self.pk}"
