"""From when on a job may begin."""

import datetime
from typing import Any

from django import forms
from django.utils import timezone

from jobs.forms.jobs import DayInput
from studio.web.forms import PaperForm

EARLIEST, LATEST = datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)


class StartForm(PaperForm):
    """The day and hour before which nothing of a job is done, in the studio's own time."""

    day = forms.DateField(label="Not before", widget=DayInput())
    hour = forms.TimeField(label="at", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))

    def clean_day(self) -> datetime.date:
        """Keep years within what a calendar here can hold."""
        day: datetime.date = self.cleaned_data["day"]
        if not EARLIEST <= day <= LATEST:
            raise forms.ValidationError(f"Give a day between {EARLIEST.year} and {LATEST.year}.")
        return day

    def starts_at(self) -> datetime.datetime:
        """Return the moment in the studio's time zone."""
        naive = datetime.datetime.combine(self.cleaned_data["day"], self.cleaned_data["hour"])
        return timezone.make_aware(naive)


def start_initial(starts_at: datetime.datetime | None) -> dict[str, Any]:
    """Return what the form shows: the kept start, or tomorrow at nine."""
    if starts_at is None:
        return {"day": timezone.localdate() + datetime.timedelta(days=1), "hour": datetime.time(9)}
    local = timezone.localtime(starts_at)
    return {"day": local.date(), "hour": local.time()}
