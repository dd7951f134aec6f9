"""Questions about jobs that read as sentences."""

import datetime
from typing import Any

from django.db import models


class JobQuerySet(models.QuerySet[Any]):
    """Questions about jobs."""

    def still_open(self) -> "JobQuerySet":
        """Return jobs that are neither delivered nor declined."""
        return self.exclude(state__in=["delivered", "declined"])

    def promised_before(self, day: datetime.date) -> "JobQuerySet":
        """Return jobs promised before a day."""
        return self.filter(promised_on__lt=day)

    def for_list(self) -> "JobQuerySet":
        """Return jobs with everything that one line of the list shows."""
        return self.select_related("client", "piece")
