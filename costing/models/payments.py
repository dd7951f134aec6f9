"""Requests for payment: what is due from the client, when, and whether it came."""

from django.db import models
from django.utils import timezone

from costing.models.quote import Quote, money_field


class PaymentRequest(models.Model):
    """One stage of payment of an accepted quote."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="payment_requests")
    position = models.PositiveSmallIntegerField()
    moment = models.CharField("when it is due in the work", max_length=12)
    label = models.CharField(max_length=160)
    amount = money_field()
    asked_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    paid_on = models.DateField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["quote", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote", "position"], condition=models.Q(cancelled_at=None), name="payment_stages_in_order"
            ),
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="payment_request_asks_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quote}, payment {self.position}"
