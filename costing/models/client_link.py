"""A client's private way to a quote: links whose token is kept only as a hash, and what the client answered."""

from django.db import models
from django.utils import timezone

from costing.models.quote import Quote


class QuoteLink(models.Model):
    """The private address of one quote; only the hash of its token is kept."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="links")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    first_read_at = models.DateTimeField(null=True, blank=True)
    last_read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["quote"], condition=models.Q(revoked_at=None), name="one_open_link_per_quote"),
            models.CheckConstraint(condition=models.Q(expires_at__gt=models.F("made_at")), name="quote_link_ends_after_made"),
        ]

    def __str__(self) -> str:
        return f"link to {self.quote}"


class QuoteAnswer(models.Model):
    """What a client said to a quote, once, with name and time; a mark that the studio took back stays readable."""

    class Kind(models.TextChoices):
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="answers")
    link = models.ForeignKey(QuoteLink, on_delete=models.SET_NULL, null=True, blank=True, related_name="answers")
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField("name of whoever answered", max_length=120)
    words = models.TextField("what they wrote", max_length=2000, blank=True)
    option_positions = models.JSONField("positions of the options chosen", default=list)
    gross = models.DecimalField("total that was shown when it was answered", max_digits=14, decimal_places=3)
    answered_at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField("mark taken back by the studio", null=True, blank=True)

    class Meta:
        ordering = ["-answered_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["quote"], condition=models.Q(taken_back_at=None), name="one_answer_per_quote"),
        ]

    def __str__(self) -> str:
        return f"{self.quote} {self.kind} by {self.name}"
