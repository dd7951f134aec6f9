"""The days of one job: its part of the timetable in use, or what its coats' calendar says without one."""

import datetime
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from jobs.calendar import calendar_of, studio_hours
from jobs.days import reading
from jobs.days.questions import latest_answer
from jobs.documents import HANDOUT_KIND, HandoutLine, handout_lines
from jobs.forms.days import StartForm, start_initial
from jobs.job_days.lines import job_days, remarked, why_not
from jobs.job_days.news import of_one_job, proposal_with
from jobs.models import DaysQuestion, Job
from jobs.planning.work.handout_times import CureCalendar
from jobs.services.jobs import set_start
from jobs.views.loading import JobPage, context_of, load, may_change
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
    """Show when each task of a job is done; say from when on it may begin."""
    page = load(number)
    form = StartForm(request.POST if request.method == "POST" else None, initial=start_initial(page.job.starts_at))
    if form.is_bound:
        if not may_change(request):
            raise PermissionDenied("Your role in this studio does not let you change jobs.")
        if request.POST.get("action") == "clear":
            set_start(job=page.job, starts_at=None)
            messages.success(request, "The job may begin at any time.")
            return redirect("jobs:job_days_show", number=number)
        if form.is_valid():
            set_start(job=page.job, starts_at=form.starts_at())
            messages.success(request, "Kept. The job does not begin before then.")
            return redirect("jobs:job_days_show", number=number)
    context = {**context_of(request, page, here="days"), "form": form, **_days_of(page)}
    return render_page(request, "jobs/job_days.html", context, status=422 if form.is_bound else 200)


def _days_of(page: JobPage) -> dict[str, Any]:
    """Return the job's part of the timetable in use; without one why, and its coats laid out alone."""
    timetable = reading.current()
    found = job_days(page.job, page.made, timetable)
    newer = of_one_job(page.job, timetable) if timetable is not None and found else []
    calendar, trouble = (None, "") if found else _calendar(page)
    return {
        "timetable": timetable,
        "own": found,
        "newer": newer,
        "proposal": proposal_with(newer[0].noted_at) if newer else None,
        "asks_when": page.job.state in (Job.State.ENQUIRY, Job.State.QUOTED),
        "promise": latest_answer(page.job, DaysQuestion.Kind.PROMISE),
        "remarked": remarked(page.job, timetable),
        "why_not": "" if found else why_not(page.job, timetable),
        "calendar": calendar,
        "trouble": trouble,
        "cautions": page.made.cautions.every() if page.made else (),
        "days": _days(page, calendar) if calendar else [],
        "flagged": bool(calendar and any(time.flags for time in calendar.coats)),
        "documents": Document.objects.filter(kind=HANDOUT_KIND, subject_id=page.job.pk)[:10],
    }


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
