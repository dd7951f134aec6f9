"""The day a job is promised for."""

import datetime

from django.db import transaction

from jobs.models import Job


@transaction.atomic
def promise_for(*, job: Job, on: datetime.date | None) -> datetime.date | None:
    """Promise a job for a day, or for none; return the day that it was promised for before."""
    fresh = Job.objects.select_for_update().get(pk=job.pk)
    before: datetime.date | None = fresh.promised_on
    fresh.promised_on = on
    fresh.save(update_fields=["promised_on"])
    job.promised_on = on
    return before
