"""Questions about the days of one job: by when an enquiry could be done, and why a day cannot be kept."""

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.claims import Claim, take
from jobs.days.clock import Grid
from jobs.days.core_keys import core_key, on_grid
from jobs.days.freezing import problem_from_json
from jobs.days.inputs import laid_out
from jobs.days.plans import LAID_OUT, order_key
from jobs.days.queueing import queue_question
from jobs.days.said import worded
from jobs.days.searching import whole_promise
from jobs.errors import QuestionRefused
from jobs.models import DaysQuestion, Job, Timetable, TimetableEntry
from jobs.scheduling.errors import SchedulingError
from jobs.scheduling.explain import Explanation, explain
from jobs.scheduling.problem import Problem
from jobs.scheduling.promise import promise
from jobs.scheduling.remedies import Remedy
from jobs.scheduling.result import Entry
from studio.models import Account, StudioProfile
from studio.web.context import current_profile, using_profile
from studio.web.formats import locale_code, when_text
from studio.web.middleware import zone_of

State, Kind = DaysQuestion.State, DaysQuestion.Kind
BUSY = (State.QUEUED, State.WORKING)
DRAWS = 40
GAVE_UP = "The worker stopped three times over this question, so it was given up; ask again."
NO_DAYS = "No timetable is in use yet; plan the days and use them first."
NOT_IN_IT = "This job is not in the timetable in use; plan the days anew."
NO_DAY = "This job is promised for no day, so there is none to keep; say on its page when it is promised."


def ask_promise(*, job: Job, by: Account | None) -> DaysQuestion:
    """Ask by when a job that is not agreed yet could honestly be done; returns the question that is open where there is one."""
    if job.state in LAID_OUT:
        raise QuestionRefused("The days of this job are laid out with all others; its Days page shows its end.")
    if job.state in (Job.State.DELIVERED, Job.State.DECLINED):
        raise QuestionRefused("This job is closed; open it again to ask when it could be done.")
    return _asked(job, Kind.PROMISE, by)


def ask_why(*, job: Job, by: Account | None) -> DaysQuestion:
    """Ask why the day of a job cannot be kept; returns the question that is open where there is one."""
    if job.promised_on is None:
        raise QuestionRefused(NO_DAY)
    timetable = Timetable.objects.defer("problem").in_use()
    if timetable is None:
        raise QuestionRefused(NO_DAYS)
    if not TimetableEntry.objects.filter(timetable=timetable, job=job, done=False).exists():
        raise QuestionRefused(NOT_IN_IT)
    return _asked(job, Kind.WHY, by)


def latest_answer(job: Job, kind: str) -> DaysQuestion | None:
    """Return the question of a kind that was asked last of a job, answered or not."""
    return DaysQuestion.objects.filter(job=job, kind=kind).order_by("-asked_at", "-pk").first()


def process_question(question_id: int) -> str:
    """Answer a question; safe to run twice and at the same time."""
    row = DaysQuestion.objects.filter(pk=question_id)
    if take(row, busy=State.WORKING, gave_up=GAVE_UP) is not Claim.TAKEN:
        return "nothing to do"
    question = row.select_related("job").first()
    if question is None:
        return "nothing to do"
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        try:
            answer = _promised(question.job) if question.kind == Kind.PROMISE else _explained(question.job)
        except (SchedulingError, QuestionRefused) as error:
            return "refused" if _close(question, state=State.REFUSED, reason=str(error)) else "lost"
    in_use = Timetable.objects.defer("problem").in_use()
    return "answered" if _close(question, state=State.READY, reason="", answer=answer, timetable=in_use) else "lost"


def _asked(job: Job, kind: str, by: Account | None) -> DaysQuestion:
    try:
        with transaction.atomic():
            found = _open(job, kind)
            if found is not None:
                return found
            # Only the last answer of a kind is shown.
            DaysQuestion.objects.filter(job=job, kind=kind).delete()
            made: DaysQuestion = DaysQuestion.objects.create(job=job, kind=kind, asked_by=by)
            queue_question(made)
            return made
    except IntegrityError:
        # Somebody else asked in the same moment.
        found = _open(job, kind)
        if found is None:
            raise
        return found


def _open(job: Job, kind: str) -> DaysQuestion | None:
    return DaysQuestion.objects.filter(job=job, kind=kind, state__in=BUSY).first()


def _close(question: DaysQuestion, *, state: str, **values: Any) -> bool:
    mine = DaysQuestion.objects.filter(pk=question.pk, state=State.WORKING, attempts=question.attempts)
    return bool(mine.update(state=state, lease_until_at=None, finished_at=timezone.now(), **values))


def _promised(job: Job) -> dict[str, Any]:
    """Lay a job beside the present load many times, and say by when it was done in a half and in nine tenths of them."""
    laid = laid_out(also=job)
    mine = order_key(job)
    refused = next((one for one in laid.left_out if one["kind"] == "job" and one["job"] == job.number), None)
    if refused is not None or not laid.fresh.tasks_of.get(mine):
        raise QuestionRefused(worded(refused) if refused else NOT_IN_IT)
    whole = whole_promise(laid)
    others = {key: entry for key, entry in whole.items() if laid.fresh.task[key].order != mine}
    found = promise(laid.fresh, others, mine, samples=DRAWS)
    return {
        "even_at": _iso(laid.grid, found.even_chance),
        "nine_in_ten_at": _iso(laid.grid, found.nine_in_ten),
        "draws": DRAWS,
        "missed": found.missed,
        "ends": [_iso(laid.grid, end) for end in found.ends],
        "beside": len({laid.fresh.task[key].order for key in others}),
        "by_hand": len(laid.new - {mine}),
        "remarks": [one for one in laid.left_out if one["job"] in (None, job.number)],
    }


def _explained(job: Job) -> dict[str, Any]:
    """Say which rules contradict each other so that a day cannot be kept, and what helps."""
    timetable = Timetable.objects.in_use()
    if timetable is None:
        raise QuestionRefused(NO_DAYS)
    problem = problem_from_json(timetable.problem or {})
    if not problem.tasks_of.get(order_key(job)):
        raise QuestionRefused(NOT_IN_IT)
    grid = Grid(begins_at=timetable.begins_at, step_min=timetable.step_min)
    now, locale = timezone.now(), locale_code(current_profile())

    def clock(step: int) -> str:
        return when_text(grid.at(step), now, locale)

    entries = entries_on_grid(timetable, problem, grid)
    found = explain(problem, entries, order_key(job), clock=clock)
    end = max(entries[task.key].end for task in problem.tasks_of[order_key(job)])
    due = problem.order[order_key(job)].due
    kept = {"end_at": _iso(grid, end), "due_at": _iso(grid, due), "late_min": _late_min(end, due, grid)}
    if found is None:
        return {**kept, "can_be_kept": True, "sentence": "", "causes": [], "remedies": []}
    return {**kept, "can_be_kept": False, **_explanation(found, problem, grid)}


def entries_on_grid(timetable: Timetable, problem: Problem, grid: Grid) -> dict[str, Entry]:
    """Return the entries of a timetable as the core knows them."""
    rows = TimetableEntry.objects.filter(timetable=timetable).prefetch_related("people")
    found = {key: on_grid(row, grid) for row in rows if (key := core_key(row)) in problem.task}
    missing = [task.label for task in problem.tasks if task.key not in found]
    if missing:
        raise QuestionRefused(f"The timetable in use has lost “{missing[0]}”; plan the days anew.")
    return found


def _explanation(found: Explanation, problem: Problem, grid: Grid) -> dict[str, Any]:
    return {
        "sentence": found.sentence,
        "causes": [{"rule": cause.rule.value, "task": _label(problem, cause.task)} for cause in found.causes],
        "remedies": [_remedy(one, grid) for one in found.remedies],
    }


def _remedy(one: Remedy, grid: Grid) -> Mapping[str, Any]:
    return {
        "key": one.key, "label": one.label, "effect": one.effect, "helps": one.helps, "end_at": _iso(grid, one.end),
        "late_min": one.late * grid.step_min, "windows": one.breaches,
    }  # fmt: skip


def _label(problem: Problem, key: str) -> str:
    return problem.task[key].label if key in problem.task else ""


def _late_min(end: int, due: int | None, grid: Grid) -> int:
    return 0 if due is None else max(0, end - due) * grid.step_min


def _iso(grid: Grid, step: int | None) -> str | None:
    return None if step is None else timezone.localtime(grid.at(step)).isoformat()
