"""The clock times of one job's coats."""

import datetime
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from jobs.calendar import calendar_of, studio_hours
from jobs.documents import HANDOUT_KIND, HandoutLine, handout_lines
from jobs.forms.days import StartForm, start_initial
from jobs.planning.work.handout_times import CureCalendar
from jobs.services.jobs import set_start
from jobs.views.loading import JobPage, context_of, load
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import Document
from studio.web.htmx import render_page


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day of a job with its coats."""

    on: datetime.date
    lines: tuple[HandoutLine, ...]


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def job_days_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show when each coat is laid; say when work starts."""
    page = load(number)
    form = StartForm(request.POST if request.method == "POST" else None, initial=start_initial(page.job.starts_at))
    if form.is_bound:
        if not request.user.may(Right.CHANGE_JOBS):  # type: ignore[union-attr]
            raise PermissionDenied("Your role in this studio does not let you change jobs.")
        if request.POST.get("action") == "clear":
            set_start(job=page.job, starts_at=None)
            messages.success(request, "The start is open again; the times below suppose tomorrow at nine.")
            return redirect("jobs:job_days_show", number=number)
        if form.is_valid():
            set_start(job=page.job, starts_at=form.starts_at())
            messages.success(request, "The start is kept and the coats are laid out from it.")
            return redirect("jobs:job_days_show", number=number)
    calendar, trouble = _calendar(page)
    context = {
        **context_of(request, page, here="days"),
        "form": form,
        "calendar": calendar,
        "trouble": trouble,
        "cautions": page.made.cautions.every() if page.made else (),
        "days": _days(page, calendar) if calendar else [],
        "flagged": bool(calendar and any(time.flags for time in calendar.coats)),
        "documents": Document.objects.filter(kind=HANDOUT_KIND, subject_id=page.job.pk)[:10],
    }
    return render_page(request, "jobs/job_days.html", context, status=422 if form.is_bound else 200)


def _calendar(page: JobPage) -> tuple[CureCalendar | None, str]:
    if page.made is None:
        return None, ""
    try:
        return calendar_of(page.job, page.made, studio_hours()), ""
    except WorkingError as error:
        return None, str(error)


def _days(page: JobPage, calendar: CureCalendar) -> list[Day]:
    assert page.made is not None
    lines = handout_lines(page.made, calendar)
    days = sorted({line.time.starts_at.date() for line in lines})
    return [Day(on=day, lines=tuple(line for line in lines if line.time.starts_at.date() == day)) for day in days]
