"""Questions about quotes that read as sentences."""

import datetime
from typing import Any

from django.db import models


class QuoteQuerySet(models.QuerySet[Any]):
    """Questions about quotes."""

    def standing(self) -> "QuoteQuerySet":
        """Return quotes that are offered or accepted: at most one a job."""
        return self.filter(state__in=["offered", "accepted"])

    def newest_versions(self) -> "QuoteQuerySet":
        """Return the newest version of each number."""
        newest = self.model._default_manager.filter(number=models.OuterRef("number")).order_by("-version").values("pk")[:1]
        return self.filter(pk=models.Subquery(newest))

    def valid_on(self, day: datetime.date) -> "QuoteQuerySet":
        """Return quotes whose validity has not ended on a day."""
        return self.filter(valid_until_on__gte=day)

    def run_out_on(self, day: datetime.date) -> "QuoteQuerySet":
        """Return quotes still offered whose validity ended before a day."""
        return self.filter(state="offered", valid_until_on__lt=day)

    def for_client(self, words: str) -> "QuoteQuerySet":
        """Return quotes whose client or job title holds these words."""
        return self.filter(models.Q(job__client__name__icontains=words) | models.Q(job__title__icontains=words))

    def for_list(self) -> "QuoteQuerySet":
        """Return quotes with everything that one line of the list shows."""
        return self.select_related("job__client").defer("content", "inner", "terms", "scope")
