"""Questions about the days of one job that the worker answers: by when it could be done, why its day cannot be kept."""

import datetime
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from jobs.days import reading
from jobs.days.plans import LAID_OUT
from jobs.days.questions import ask_promise, ask_why, latest_answer
from jobs.errors import JobsError
from jobs.job_days.day_meant import hours_with_closed_days, means_day
from jobs.job_days.lines import job_days
from jobs.job_days.promised import promised_days
from jobs.job_days.remedies import remedies_said
from jobs.job_days.times import said_day
from jobs.models import DaysQuestion, Job
from jobs.services.promises import promise_for
from jobs.views.loading import context_of, job_or_404, load
from studio.access import Right, account_of, needs
from studio.web.drawing.draws import draws_by_day
from studio.web.htmx import render_page

PROMISED = "promised_day"
Kind = DaysQuestion.Kind
# Where a day that is taken over is shown again, by the page on which it was.
PAGES = {"promise": "jobs:promise_show", "why": "jobs:why_show", "days": "jobs:job_days_show"}


@needs(Right.SEE_JOBS)
@require_safe
def promise_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show by when a job could be done, or how far that is."""
    return _page(request, number, Kind.PROMISE)


@needs(Right.CHANGE_JOBS)
@require_POST
def promise_ask(request: HttpRequest, number: int) -> HttpResponse:
    """Ask by when a job could be done."""
    return _asked(request, number, ask_promise, page="promise")


@needs(Right.SEE_JOBS)
@require_safe
def why_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show why a job's day cannot be kept and what helps, or how far that is."""
    return _page(request, number, Kind.WHY)


@needs(Right.CHANGE_JOBS)
@require_POST
def why_ask(request: HttpRequest, number: int) -> HttpResponse:
    """Ask why the day of a job cannot be kept."""
    return _asked(request, number, ask_why, page="why")


@needs(Right.CHANGE_JOBS)
@require_POST
def promise_take(request: HttpRequest, number: int) -> HttpResponse:
    """Promise a job for one of the days that its pages offer."""
    job = job_or_404(number)
    which, page = request.POST.get("which", ""), request.POST.get("page", "")
    on = _offered(job, which)
    if on is None:
        messages.error(request, "That day is not offered any more. Look at the days shown now.")
    else:
        before = promise_for(job=job, on=on)
        request.session[PROMISED] = {"job": job.pk, "was": before.isoformat() if before else "", "now": on.isoformat()}
        messages.success(request, f"It is promised for {said_day(on)}.")
    return redirect(PAGES.get(page, "jobs:promise_show"), number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def promise_back(request: HttpRequest, number: int) -> HttpResponse:
    """Promise a job for the day again that it was promised for before."""
    job = job_or_404(number)
    kept = taken_over(request, job)
    if kept is None:
        messages.error(request, "There is nothing to take back: the promised day was changed again meanwhile.")
    else:
        promise_for(job=job, on=kept["was"])
        del request.session[PROMISED]
        messages.success(
            request, f"It is promised for {said_day(kept['was'])} again." if kept["was"] else "No day is promised again."
        )
    return redirect(PAGES.get(request.POST.get("page", ""), "jobs:promise_show"), number=number)


def taken_over(request: HttpRequest, job: Job) -> dict[str, datetime.date | None] | None:
    """Return the day that was taken over last and the one before, while it is the job's day."""
    kept: Any = request.session.get(PROMISED)
    if not isinstance(kept, dict) or kept.get("job") != job.pk or job.promised_on is None:
        return None
    if kept["now"] != job.promised_on.isoformat():
        return None
    was = datetime.date.fromisoformat(kept["was"]) if kept["was"] else None
    return {"was": was, "now": job.promised_on}


def _offered(job: Job, which: str) -> datetime.date | None:
    """Return the day that a button stands for, worked out again from what its page shows."""
    if which == "later":
        return job.promised_on + datetime.timedelta(days=1) if job.promised_on else None
    if which == "end":
        own = job_days(job, None, reading.current())
        return own.ends_for if own is not None else None
    answer = latest_answer(job, Kind.PROMISE)
    if answer is None or answer.state != DaysQuestion.State.READY:
        return None
    found = promised_days(answer)
    return {"even": found.even_on, "nine": found.nine_on}.get(which)


def _asked(request: HttpRequest, number: int, ask: Callable[..., DaysQuestion], *, page: str) -> HttpResponse:
    try:
        ask(job=job_or_404(number), by=account_of(request))
    except JobsError as refused:
        messages.error(request, str(refused))
    return redirect(PAGES[page], number=number)


def _page(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    page = load(number)
    job, question = page.job, latest_answer(page.job, kind)
    answered = question is not None and question.state == DaysQuestion.State.READY
    timetable = reading.current()
    context: dict[str, Any] = {
        **context_of(request, page, here="days"),
        "question": question,
        "refused": question is not None and question.state == DaysQuestion.State.REFUSED,
        "answered": answered,
        # The days that people go by now may be others than those that an answer was worked out beside.
        "outdated": answered and question is not None and question.timetable_id != (timetable.pk if timetable else None),
        "taken": taken_over(request, job),
        "own": job_days(job, page.made, timetable),
    }
    if kind == Kind.PROMISE:
        context |= {"laid_out": job.state in LAID_OUT, **_promise_of(question if answered else None)}
        return render_page(request, "jobs/promise.html", context, partial="question")
    if answered and question is not None:
        due = (question.answer or {}).get("due_at")
        meant = datetime.datetime.fromisoformat(due) if due else None
        # Why is answered for the day that the timetable was made for.
        other_day = not means_day(meant, job.promised_on, hours_with_closed_days(timezone.localdate()))
        context |= {"remedies": remedies_said(job, question), "other_day": other_day}
    return render_page(request, "jobs/why.html", context, partial="question")


def _promise_of(question: DaysQuestion | None) -> dict[str, Any]:
    if question is None:
        return {}
    found = promised_days(question)
    marks = {words: on for words, on in (("50 %", found.even_on), ("90 %", found.nine_on)) if on is not None}
    counts = [(day.on, day.ended) for day in found.days]
    drawing = draws_by_day(counts, marks=marks, title="Days on which it was done") if counts else ""
    return {"found": found, "drawing": drawing}
