"""The days ahead: the timetable in use, the search for another, and its proposal."""

import datetime
from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from jobs.days import asking, reading, using
from jobs.days.plans import LAID_OUT
from jobs.days_shown.before_after import before_after
from jobs.days_shown.book import day_book
from jobs.days_shown.drawn import LONGEST_WAIT, begins, days_plan, weeks_drawn
from jobs.days_shown.left_out import left_out
from jobs.days_shown.searching import search_state
from jobs.days_shown.told import told
from jobs.errors import TimetableRefused
from jobs.forms.days_shown import DaysFilterForm
from jobs.job_days.news import made_at, news_since
from jobs.models import Job, Timetable
from jobs.views.loading import may_change
from studio.access import Right, account_of, needs
from studio.models import Person
from studio.web.drawing import days_key
from studio.web.htmx import render_page, wants_partial

PROPOSAL_DAYS = 14


@needs(Right.SEE_JOBS)
@require_safe
def days_show(request: HttpRequest) -> HttpResponse:
    """Show the timetable in use, how far a search is, and what is promised.

    Asked for by a page that waits for a search, only the state of that is answered; once it is done the page loads itself anew.
    """
    proposal = reading.proposal()
    if wants_partial(request) and "search" in request.GET:
        return _search_answered(request, proposal)
    today, now = timezone.localdate(), timezone.now()
    timetable = reading.current()
    jobs = list(Job.objects.still_open().select_related("client").order_by("promised_on", "number"))
    context: dict[str, Any] = {
        "search": search_state(proposal),
        "timetable": timetable,
        "before": reading.before_current(),
        "may_change": may_change(request),
        "today": today,
        "now": now,
        "overdue": [job for job in jobs if job.promised_on is not None and job.promised_on < today],
        "promised": [job for job in jobs if job.promised_on is not None and job.promised_on >= today],
        "any_to_lay_out": any(job.state in LAID_OUT for job in jobs),
    }
    if timetable is not None:
        context |= _days_shown(request, timetable, jobs, today=today, now=now)
    status = 422 if "form" in context and context["form"].is_bound and not context["form"].is_valid() else 200
    return render_page(request, "jobs/days.html", context, partial="chosen-days" if timetable else "", status=status)


def _search_answered(request: HttpRequest, proposal: Timetable | None) -> HttpResponse:
    search = search_state(proposal)
    context = {"search": search, "may_change": may_change(request)}
    answer = render_page(request, "jobs/days.html", context, partial="search-state")
    if not search.busy:
        answer["HX-Refresh"] = "true"
    return answer


def _days_shown(
    request: HttpRequest, timetable: Timetable, jobs: list[Job], *, today: datetime.date, now: datetime.datetime
) -> dict[str, Any]:
    """Return the chosen days of a timetable: drawn, and as a day book."""
    people = Person.objects.filter(active=True).order_by("name", "pk")
    open_jobs = Job.objects.still_open().order_by("number")
    form = DaysFilterForm(request.GET or None, people=people, jobs=open_jobs, today=today)
    first, days, person, job = form.chosen()
    until = begins(first + datetime.timedelta(days=days))
    entries = reading.entries(timetable, since=begins(first) - LONGEST_WAIT, until=until, person=person, job=job)
    told_ = told(timetable)
    plan = days_plan(
        entries, people=[person] if person else list(people), first=first, days=days, ends=told_.ends, now=now
    )  # fmt: skip
    return {
        "form": form,
        "told": told_,
        "different": news_since(timetable),
        "left_out": left_out(timetable),
        "first": first,
        "last": first + datetime.timedelta(days=days - 1),
        "chosen_person": person,
        "chosen_job": job,
        "weeks": weeks_drawn(plan, first=first, days=days),
        "key": days_key(),
        "book": day_book(entries, plan, [] if person or job else jobs, first=first, days=days),
    }


@needs(Right.SEE_JOBS)
@require_safe
def timetable_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a proposal: what it changes against the timetable in use, and the days drawn with what moved marked."""
    timetable = get_object_or_404(
        Timetable.objects.defer(*reading.NOT_SHOWN).select_related("asked_by", "used_by", "base"), pk=pk
    )
    if timetable.state != Timetable.State.READY:
        return redirect("jobs:days_show")
    entries = reading.entries(timetable)
    changes = before_after(timetable, entries=entries)
    people = list(Person.objects.filter(active=True).order_by("name", "pk"))
    first, told_ = timezone.localdate(made_at(timetable)), told(timetable)
    plan = days_plan(
        entries, people=people, first=first, days=PROPOSAL_DAYS, ends=told_.ends, before=changes.places
    )  # fmt: skip
    context = {
        "timetable": timetable,
        "told": told_,
        "left_out": left_out(timetable),
        "changes": changes,
        "weeks": weeks_drawn(plan, first=first, days=PROPOSAL_DAYS),
        "key": days_key(),
        "book": day_book(entries, plan, [], first=first, days=PROPOSAL_DAYS),
        "broken": [entry for entry in entries if entry.late_min],
        "visits": [entry for entry in entries if entry.visit],
        "current": reading.current(),
        "may_change": may_change(request),
    }
    return render_page(request, "jobs/timetable.html", context)


@needs(Right.CHANGE_JOBS)
@require_POST
def timetable_ask(request: HttpRequest) -> HttpResponse:
    """Have the days planned anew."""
    asking.ask_timetable(by=account_of(request))
    messages.success(request, "The days are being planned. You can leave this page; the work goes on.")
    return redirect("jobs:days_show")


@needs(Right.CHANGE_JOBS)
@require_POST
def timetable_stop(request: HttpRequest) -> HttpResponse:
    """End the search with the best that it has found."""
    busy = reading.proposal()
    if busy is None:
        messages.warning(request, "No search is under way.")
        return redirect("jobs:days_show")
    try:
        asking.ask_stop(timetable=busy)
    except TimetableRefused as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, "The search ends; what it has found so far is kept as a proposal.")
    return redirect("jobs:days_show")


@needs(Right.CHANGE_JOBS)
@require_POST
def timetable_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Let people go by a proposal from now on."""
    timetable = get_object_or_404(Timetable.objects.defer(*reading.NOT_SHOWN), pk=pk)
    try:
        using.use(timetable=timetable, by=account_of(request))
    except TimetableRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("jobs:timetable_show", pk=pk) if timetable.state == Timetable.State.READY else redirect("jobs:days_show")
    undo = " Should they not do, go back to the days before." if reading.before_current() else ""
    messages.success(request, f"These days are in use.{undo}")
    return redirect("jobs:days_show")


@needs(Right.CHANGE_JOBS)
@require_POST
def timetable_put_by(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a proposal unused."""
    timetable = get_object_or_404(Timetable.objects.defer(*reading.NOT_SHOWN), pk=pk)
    return _changed(
        request, partial(using.put_by, timetable=timetable), "The proposal is put by; the days in use stay as they are."
    )


@needs(Right.CHANGE_JOBS)
@require_POST
def timetable_back(request: HttpRequest) -> HttpResponse:
    """Take the timetable before the present one up again."""
    words = "The days before are in use again. Going back once more brings the others back."
    return _changed(request, partial(using.go_back, by=account_of(request)), words)


def _changed(request: HttpRequest, change: Callable[[], Timetable], words: str) -> HttpResponse:
    """Change which days are in use or wait, and say so, or why not."""
    try:
        change()
    except TimetableRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, words)
    return redirect("jobs:days_show")
