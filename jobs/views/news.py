"""Something is different: news told in sentences, and the days worked out again with them."""

import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.days import facts, reading
from jobs.days.asking import ask_after_news
from jobs.errors import JobsError
from jobs.forms.news import AwayNewsForm, DoneNewsForm, LateNewsForm
from jobs.forms.task_facts import parts
from jobs.job_days.news import NewsLine, made_at, news_since, told
from jobs.models import Timetable, TimetableEntry
from jobs.views.loading import may_change
from studio.access import Right, account_of, needs
from studio.models import Person
from studio.services.absences import add_absence
from studio.services.errors import AbsenceError
from studio.web.htmx import render_page

FIRST_TIME = "The days are planned for the first time."
NOTHING = "Nothing is different from the days in use, so there is nothing to work out."
# Tasks that were to be done longer ago than this are not asked about any more.
_ASKED_BACK = datetime.timedelta(days=7)
_ASKED_AHEAD = datetime.timedelta(days=3)
Forms = dict[str, Any]


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def news_show(request: HttpRequest) -> HttpResponse:
    """Show what is different since the days in use were made; take more of it."""
    timetable = reading.current()
    entries = _entries(timetable)
    saying = request.POST.get("say", "") if request.method == "POST" else ""
    given = _forms(request, entries, saying)
    if request.method == "POST":
        if not may_change(request):
            raise PermissionDenied("Your role in this studio does not let you change jobs.")
        form = given.get(saying)
        if form is not None and form.is_valid():
            try:
                words = _kept(request, saying, form)
            except (JobsError, AbsenceError) as refused:
                form.add_error(None, str(refused))
            else:
                messages.success(request, words)
                return redirect("jobs:news_show")
    return _page(request, timetable, given, status=422 if request.method == "POST" else 200)


@needs(Right.CHANGE_JOBS)
@require_POST
def news_ask(request: HttpRequest) -> HttpResponse:
    """Have the days in use changed as little as the news allow."""
    timetable = reading.current()
    lines = news_since(timetable) if timetable is not None else []
    if timetable is not None and not lines:
        messages.info(request, NOTHING)
        return redirect("jobs:news_show")
    try:
        asked = ask_after_news(by=account_of(request), sentence=told(lines) or FIRST_TIME)
    except JobsError as refused:
        messages.error(request, str(refused))
        return redirect("jobs:news_show")
    return redirect("jobs:timetable_show", pk=asked.pk)


def _kept(request: HttpRequest, saying: str, form: Any) -> str:
    """Keep one piece of news and return its words."""
    typed, by = form.cleaned_data, account_of(request)
    if saying == "away":
        person = form.person()
        add_absence(person=person, starts_at=typed["starts_at"], ends_at=typed["ends_at"], why=typed["why"], by=by)
        return " ".join([f"Written down: {person.name} is away.", *form.notes])
    job, key = form.chosen()
    if saying == "late":
        facts.keep_waiting(job=job, task_key=key, until=typed["until"], why=typed["why"], by=by)
        return "Written down: it is kept waiting."
    facts.say_begun(job=job, task_key=key, began_at=typed["began_at"], ended_at=typed["ended_at"], by=by)
    return "Written down: it was done then."


def _entries(timetable: Timetable | None) -> list[TimetableEntry]:
    if timetable is None:
        return []
    return reading.entries(timetable, since=timezone.now() - _ASKED_BACK)


def _forms(request: HttpRequest, entries: list[TimetableEntry], saying: str) -> Forms:
    """Return the forms of all sentences; only the one that was sent is bound."""
    now = timezone.now()
    day, hour = parts(now)
    mine = Person.objects.filter(account=account_of(request), active=True).first()
    asked = {"task": request.GET.get("task", "")[:120]}
    soon = [entry for entry in entries if entry.starts_at < now + _ASKED_AHEAD]
    made: dict[str, tuple[type[Any], dict[str, Any], dict[str, Any]]] = {
        "late": (LateNewsForm, {**asked, "day": day}, {"entries": entries}),
        "done": (DoneNewsForm, {**asked, "day": day, "hour": hour}, {"entries": soon}),
        "away": (AwayNewsForm, {"who": str(mine.pk) if mine else "", "from_day": day}, {}),
    }
    return {
        name: kind(request.POST if name == saying else None, prefix=name, initial=initial, **more)
        for name, (kind, initial, more) in made.items()
    }


def _page(request: HttpRequest, timetable: Timetable | None, given: Forms, *, status: int) -> HttpResponse:
    lines = news_since(timetable) if timetable is not None else []
    proposal = reading.proposal()
    context = {
        "timetable": timetable,
        "lines": lines,
        "proposal": proposal if proposal is not None and proposal.state != Timetable.State.REFUSED else None,
        "in_proposal": _in_proposal(proposal, lines),
        "may_change": may_change(request),
        **given,
    }
    return render_page(request, "jobs/news.html", context, status=status)


def _in_proposal(proposal: Timetable | None, lines: list[NewsLine]) -> bool:
    """Say whether a proposal that waits was begun after the last of the news; what nobody told has no time to compare."""
    if proposal is None or proposal.state != Timetable.State.READY:
        return False
    return all(line.at is not None and line.at < made_at(proposal) for line in lines)
