"""One task on the clock: what happened, what must be, what keeps it waiting. Made for a tablet at the bench."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.days import facts, reading
from jobs.errors import FactRefused, JobNotReady
from jobs.forms.task_facts import DoneForm, LateForm, MomentForm, PinForm, parts
from jobs.job_days.facts_said import fact_sentences
from jobs.job_days.lines import cautions_of
from jobs.job_days.moments import begin_of_done, late_choices
from jobs.job_days.news import made_at, proposal_with
from jobs.models import Job, TaskFact, TimetableEntry
from jobs.services.plans import compute_so_far, plan_of
from jobs.services.said_again import remembered, say_again
from jobs.views.loading import job_or_404, may_change
from studio.access import Right, account_of, needs
from studio.models import Account, Person
from studio.web.htmx import render_page

FORGOTTEN = "forgotten_fact"
FORMS: dict[str, type[MomentForm]] = {"pin": PinForm, "late": LateForm, "done": DoneForm}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """A task of a job: its entry in the timetable in use, what was said of it, and what stands before and after it."""

    job: Job
    key: str
    entry: TimetableEntry | None
    fact: TaskFact | None
    before: TimetableEntry | None = None
    after: TimetableEntry | None = None
    newer: bool = False

    @property
    def label(self) -> str:
        """What it is called."""
        label: str = (self.entry.label if self.entry else "") or (self.fact.label if self.fact else "") or self.key
        return label

    @property
    def people(self) -> list[Person]:
        """Who is to do it."""
        row = self.fact if self.fact is not None and self.fact.people.all() else self.entry
        return list(row.people.all()) if row is not None else []


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def task_fact_show(request: HttpRequest, number: int, task_key: str) -> HttpResponse:
    """Show one task of a job; keep what is said of it."""
    task = _task(job_or_404(number), task_key)
    if request.method != "POST":
        return _page(request, task, request.GET.get("say", ""))
    if not may_change(request):
        raise PermissionDenied("Your role in this studio does not let you change jobs.")
    saying = request.POST.get("say", "")
    form = _form(task, saying, request.POST) if saying in FORMS else None
    try:
        words = _said(request, task, saying, form)
    except FactRefused as refused:
        if form is not None:
            form.add_error(None, str(refused))
            return _page(request, task, saying, form=form, status=422)
        return _page(request, task, "", trouble=str(refused), status=422)
    if not words:
        return _page(request, task, saying, form=form, status=422)
    messages.success(request, words)
    if task.entry is None and not TaskFact.objects.filter(job=task.job, task_key=task.key).exists():
        return redirect("jobs:job_days_show", number=number)
    return redirect("jobs:task_fact_show", number=number, task_key=task_key)


def _said(request: HttpRequest, task: _Task, saying: str, form: MomentForm | None) -> str:
    """Keep what was said; return the words of it, nothing where the form is wrong."""
    by = account_of(request)
    if saying in PRESSED:
        return PRESSED[saying](request, task, by)
    if form is None or not form.is_valid():
        return ""
    typed = form.cleaned_data
    known: dict[str, Any] = {"job": task.job, "task_key": task.key, "by": by}
    if saying == "pin":
        facts.pin(**known, at=typed["at"], people=typed["people"])
        return "It is pinned."
    if saying == "late":
        facts.keep_waiting(**known, until=typed["until"], why=typed["why"])
        return "It is kept waiting."
    facts.say_begun(**known, began_at=typed["began_at"], ended_at=typed["ended_at"], people=typed["people"])
    return "That is written down."


def _begun_now(_request: HttpRequest, task: _Task, by: Account) -> str:
    now = timezone.now().replace(second=0, microsecond=0)
    facts.say_begun(job=task.job, task_key=task.key, began_at=now, people=task.people, by=by)
    return "It is begun."


def _done_now(_request: HttpRequest, task: _Task, by: Account) -> str:
    now = timezone.now().replace(second=0, microsecond=0)
    began_at = begin_of_done(task.entry, task.fact, now)
    if began_at is None:
        raise FactRefused("It is not known when this was begun. Say both times below.")
    facts.say_begun(job=task.job, task_key=task.key, began_at=began_at, ended_at=now, people=task.people, by=by)
    return "It is done."


def _later(request: HttpRequest, task: _Task, by: Account) -> str:
    until = _moment(request.POST.get("until", "")[:40])
    if until is None or not _believable(until):
        raise FactRefused("That time cannot be read. Choose one of the times, or type a day and a time.")
    facts.keep_waiting(job=task.job, task_key=task.key, until=until, why=request.POST.get("why", ""), by=by)
    return "It is kept waiting."


def _moment(text: str) -> datetime.datetime | None:
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if timezone.is_naive(moment) else moment


def _believable(moment: datetime.datetime) -> bool:
    now = timezone.now()
    try:
        return now < moment < now + datetime.timedelta(days=366)
    except OverflowError:
        return False


def _unpin(_request: HttpRequest, task: _Task, by: Account) -> str:
    facts.unpin(job=task.job, task_key=task.key, by=by)
    return "It is no longer pinned."


def _free(_request: HttpRequest, task: _Task, by: Account) -> str:
    facts.keep_waiting(job=task.job, task_key=task.key, until=None, by=by)
    return "Nothing keeps it waiting any more."


def _forget(request: HttpRequest, task: _Task, _by: Account) -> str:
    kept = remembered(task.fact) if task.fact is not None else None
    facts.forget(job=task.job, task_key=task.key)
    request.session[FORGOTTEN] = kept
    return "What was said of it is forgotten."


def _again(request: HttpRequest, task: _Task, by: Account) -> str:
    kept: Any = request.session.get(FORGOTTEN)
    if not _is_of(kept, task):
        raise FactRefused("There is nothing that was forgotten of this task.")
    say_again(job=task.job, said=kept, by=by)
    del request.session[FORGOTTEN]
    return "It is said again."


PRESSED: dict[str, Callable[[HttpRequest, _Task, Account], str]] = {
    "begun_now": _begun_now, "done_now": _done_now, "later": _later, "unpin": _unpin, "free": _free, "forget": _forget,
    "again": _again,
}  # fmt: skip


def _is_of(kept: Any, task: _Task) -> bool:
    return isinstance(kept, dict) and kept.get("job") == task.job.pk and kept.get("task_key") == task.key


def _task(job: Job, key: str) -> _Task:
    timetable = reading.current()
    entries = reading.entries(timetable, job=job) if timetable is not None else []
    place = next((number for number, entry in enumerate(entries) if entry.task_key == key), None)
    fact = TaskFact.objects.filter(job=job, task_key=key).prefetch_related("people").first()
    if place is None and fact is None:
        raise Http404("This task is in no timetable.")
    newer = timetable is not None and fact is not None and fact.noted_at > made_at(timetable)
    if place is None:
        return _Task(job=job, key=key, entry=None, fact=fact, newer=newer)
    return _Task(
        job=job,
        key=key,
        entry=entries[place],
        fact=fact,
        before=entries[place - 1] if place else None,
        after=entries[place + 1] if place + 1 < len(entries) else None,
        newer=newer,
    )


def _form(task: _Task, saying: str, data: Any = None) -> MomentForm:
    fact, entry, now = task.fact, task.entry, timezone.now()
    planned = entry.starts_at if entry is not None else now
    initial: dict[str, Any] = {"people": [person.pk for person in task.people]}
    if saying == "pin":
        initial["day"], initial["hour"] = parts((fact and fact.pinned_at) or max(planned, now))
    elif saying == "late":
        initial["day"], initial["hour"] = parts((fact and fact.not_before_at) or max(planned, now))
        initial["why"] = fact.why if fact else ""
    else:
        began_at = (fact and fact.began_at) or min(planned, now)
        ended_at = (fact and fact.ended_at) or None
        initial["day"], initial["hour"] = parts(began_at)
        end_day, initial["end_hour"] = parts(ended_at)
        initial["end_day"] = end_day if end_day != initial["day"] else None
    hands = Person.objects.filter(active=True).order_by("name")
    return FORMS[saying](data, initial=initial, people=[*hands, *task.people])


def _page(
    request: HttpRequest, task: _Task, saying: str, *, form: MomentForm | None = None, trouble: str = "", status: int = 200
) -> HttpResponse:
    saying = saying if saying in FORMS else ""
    entry, fact = task.entry, task.fact
    context = {
        "job": task.job,
        "task": task,
        "cautions": _cautions(task),
        "proposal": proposal_with(fact.noted_at) if fact is not None and task.newer else None,
        "said": fact_sentences(fact) if fact is not None else [],
        "begun": fact is not None and fact.began_at is not None,
        "over": _is_over(task),
        "forgotten": _is_of(request.session.get(FORGOTTEN), task),
        "saying": saying,
        "form": form or (_form(task, saying) if saying else None),
        "choices": late_choices(entry) if entry is not None and (saying == "late" or not saying) else [],
        "trouble": trouble,
        "may_change": may_change(request),
    }
    return render_page(request, "jobs/task_fact.html", context, status=status)


def _is_over(task: _Task) -> bool:
    """Say whether it was told when the task was done; an end that was only worked out may still be said better."""
    fact, entry = task.fact, task.entry
    if fact is None or fact.began_at is None or fact.ended_at is None or fact.ended_at > timezone.now():
        return False
    return entry is None or fact.ended_at - fact.began_at != entry.ends_at - entry.starts_at


def _cautions(task: _Task) -> Any:
    if task.entry is None:
        return ()
    try:
        return cautions_of(compute_so_far(plan_of(task.job)), task.entry.plan_key)
    except JobNotReady:
        return ()
