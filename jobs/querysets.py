"""Questions about jobs and clients that read as sentences."""

import datetime
from typing import Any, Self

from django.db import models
from django.db.models import Count, Q

CLOSED_STATES = ("delivered", "declined")


class JobQuerySet(models.QuerySet[Any]):
    """Questions about jobs."""

    def still_open(self) -> Self:
        """Return jobs that are neither delivered nor declined."""
        return self.exclude(state__in=CLOSED_STATES)

    def closed(self) -> Self:
        """Return jobs that are delivered or declined."""
        return self.filter(state__in=CLOSED_STATES)

    def promised_before(self, day: datetime.date) -> Self:
        """Return jobs promised before a day."""
        return self.filter(promised_on__lt=day)

    def matching(self, words: str) -> Self:
        """Return jobs in whose number, title, piece or client every word occurs."""
        found = self
        for word in words.split()[:8]:
            condition = Q(title__icontains=word) | Q(client__name__icontains=word) | Q(piece__name__icontains=word)
            if word.isascii() and word.isdigit() and len(word) < 9:
                condition |= Q(number=int(word))
            found = found.filter(condition)
        return found

    def for_list(self) -> Self:
        """Return jobs with everything that one line of the list shows."""
        return self.select_related("client", "piece")

    def for_pages(self) -> Self:
        """Return jobs with everything that the title block and the plan read."""
        return self.select_related("client", "piece", "plan")


class ClientQuerySet(models.QuerySet[Any]):
    """Questions about clients."""

    def with_job_counts(self) -> Self:
        """Return clients with the number of their jobs, and of those still open."""
        return self.annotate(
            jobs_count=Count("jobs"),
            open_count=Count("jobs", filter=~Q(jobs__state__in=CLOSED_STATES)),
        )

    def matching(self, words: str) -> Self:
        """Return clients in whose name, contact or e-mail every word occurs."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(Q(name__icontains=word) | Q(contact__icontains=word) | Q(email__icontains=word))
        return found


class TimetableQuerySet(models.QuerySet[Any]):
    """Questions about timetables."""

    def in_use(self) -> Any:
        """Return the timetable that people go by, or None."""
        return self.filter(used_at__isnull=False, put_by_at=None).order_by("-used_at", "-pk").first()

    def proposal(self) -> Any:
        """Return the one that is being looked for or waits to be used or put by, or None."""
        return self.filter(used_at=None, put_by_at=None).first()
