"""People who work: their rate and their hours."""

from decimal import Decimal

from django.db import models


class Person(models.Model):
    """Somebody who works in the studio; may have an account, need not."""

    name = models.CharField(max_length=120)
    account = models.OneToOneField("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="person")
    rate_per_h = models.DecimalField("labour rate per hour", max_digits=8, decimal_places=2, default=Decimal("25"))
    isocyanate_trained_on = models.DateField("isocyanate training on", null=True, blank=True)
    isocyanate_trained_until_on = models.DateField("isocyanate training valid until", null=True, blank=True)
    skills = models.ManyToManyField("studio.Skill", related_name="people", blank=True)
    active = models.BooleanField("works here", default=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"
        constraints = [models.CheckConstraint(condition=models.Q(rate_per_h__gte=0), name="person_rate_not_negative")]

    def __str__(self) -> str:
        return self.name


class WorkingHours(models.Model):
    """One stretch of hours in a week; "home" hours allow a quick coat only."""

    class Where(models.TextChoices):
        BENCH = "bench", "at the bench"
        HOME = "home", "from home, a quick coat"

    class Weekday(models.IntegerChoices):
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    starts_at = models.TimeField("from")
    ends_at = models.TimeField("to")
    where = models.CharField(max_length=10, choices=Where, default=Where.BENCH)

    class Meta:
        ordering = ["weekday", "starts_at"]
        constraints = [
            models.CheckConstraint(condition=models.Q(ends_at__gt=models.F("starts_at")), name="hours_end_after_start"),
            models.CheckConstraint(condition=models.Q(weekday__gte=0, weekday__lte=6), name="hours_weekday_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.starts_at:%H:%M} to {self.ends_at:%H:%M}"
