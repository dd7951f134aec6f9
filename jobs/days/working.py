"""The worker's side of timetables: claim one, look for days, write down each better answer and what came out."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.claims import Claim, push_lost, take
from jobs.days.freezing import problem_to_json
from jobs.days.inputs import LaidOut, laid_out
from jobs.days.queueing import push, push_question
from jobs.days.searching import Better, Looking
from jobs.days.writing import cost_said, ends_said, moved_said, windows_broken, write_entries
from jobs.models import DaysQuestion, Timetable
from jobs.scheduling.errors import SchedulingError
from studio.models import StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of

GAVE_UP = (
    "The worker stopped three times while it looked for these days, so they were given up. Ask for them again, and for less time."
)
NOTHING = "No job is agreed or being made, so there is nothing to lay out. Say of a job that the client has agreed."
NONE_READY = "None of the jobs that are agreed or being made can be laid out yet; each says below what is missing."
ALL_DONE = "All work of the jobs that are agreed or being made has begun, so there is nothing left to lay out."
State, Reason = Timetable.State, Timetable.Reason
# How often the row is looked at and written, and its lease renewed, in seconds.
TICK_S, WRITE_S, RENEW_S = 0.25, 0.7, 15.0
# Short, so that a search whose worker was killed is soon taken up by another.
SEARCH_LEASE = timedelta(seconds=60)


class Lost(Exception):
    """Somebody else has this timetable, or it began again."""


def process(timetable_id: int) -> str:
    """Look for a timetable; safe to run twice and at the same time."""
    timetable = claim(timetable_id)
    if timetable is None:
        return "nothing to do"
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        try:
            return _looked_for(timetable)
        except Lost:
            return "lost"
        except SchedulingError as error:
            refused = close(timetable, state=State.REFUSED, reason=str(error))
            return "refused" if refused else "lost"


def claim(timetable_id: int) -> Timetable | None:
    """Take a timetable that waits, or whose worker is gone; None when somebody else has it or it is done."""
    row = Timetable.objects.filter(pk=timetable_id)
    # The moment tells this claim from one before the search began again.
    if take(row, busy=State.WORKING, gave_up=GAVE_UP, steps=[], started_at=timezone.now()) is not Claim.TAKEN:
        return None
    return row.select_related("base").defer("problem", "base__problem").first()


def close(timetable: Timetable, *, state: str, **values: Any) -> bool:
    """Write down what came out, if this claim still holds."""
    return bool(_mine(timetable).update(state=state, lease_until_at=None, finished_at=timezone.now(), **values))


def sweep() -> int:
    """Push timetables and questions whose task was lost; return how many."""
    questions = push_lost(DaysQuestion.objects.all(), busy=DaysQuestion.State.WORKING, push=push_question)
    return questions + push_lost(Timetable.objects.all(), busy=State.WORKING, push=push)


def _looked_for(timetable: Timetable) -> str:
    laid = laid_out()
    begins = {"begins_at": laid.grid.begins_at, "step_min": laid.grid.step_min, "horizon_steps": laid.fresh.horizon}
    _write(timetable, left_out=laid.left_out, **begins)
    if all(task.begun for task in laid.fresh.tasks):
        return "refused" if close(timetable, state=State.REFUSED, reason=_nothing(laid)) else "lost"
    looking = Looking(laid, seconds=timetable.seconds, news=timetable.why == Reason.NEWS and laid.base is not None)
    steps: list[dict[str, Any]] = []
    try:
        _watch(timetable, laid, looking, steps)
        found = looking.found()
    finally:
        looking.stop()
    steps += [_step(one) for one in looking.better()]
    schedule = found.schedule
    with transaction.atomic():
        kept = close(
            timetable, state=State.READY, reason="", steps=steps, cost=cost_said(found.problem, schedule),
            list_cost=found.list_cost, bound=schedule.bound, bound_reason=schedule.reason, moved=moved_said(laid, found),
            job_ends=ends_said(laid, found), problem=problem_to_json(found.problem), base=laid.base,
        )  # fmt: skip
        if not kept:
            return "lost"
        write_entries(timetable, laid, found.problem, schedule)
    return "found"


def _nothing(laid: LaidOut) -> str:
    if laid.said:
        return ALL_DONE
    return NONE_READY if any(one["kind"] == "job" for one in laid.left_out) else NOTHING


def _watch(timetable: Timetable, laid: LaidOut, looking: Looking, steps: list[dict[str, Any]]) -> None:
    """Write down better answers as they come, keep the lease, and hand on the wish to stop, until the search is over."""
    waiting: Better | None = None
    written = renewed = timezone.now() - timedelta(seconds=WRITE_S)
    while not looking.is_over(TICK_S):
        came = looking.better()
        steps += [_step(one) for one in came]
        waiting = came[-1] if came else waiting
        if waiting is not None and (timezone.now() - written).total_seconds() >= WRITE_S:
            with transaction.atomic():
                _write(timetable, steps=steps, cost=cost_said(laid.fresh, waiting.schedule), list_cost=looking.list_cost)
                write_entries(timetable, laid, laid.fresh, waiting.schedule)
            waiting, written = None, timezone.now()
            renewed = written
        if (timezone.now() - renewed).total_seconds() >= RENEW_S:
            _write(timetable)
            renewed = timezone.now()
        if _asked_to_stop(timetable):
            looking.stop()


def _asked_to_stop(timetable: Timetable) -> datetime | None:
    """Say whether somebody asked for the end; a claim that was lost ends it too."""
    found: list[datetime | None] = list(_mine(timetable).values_list("stop_asked_at", flat=True))
    if not found:
        raise Lost
    return found[0]


def _write(timetable: Timetable, **values: Any) -> None:
    if not _mine(timetable).update(lease_until_at=timezone.now() + SEARCH_LEASE, **values):
        raise Lost


def _step(one: Better) -> dict[str, Any]:
    return {"seconds": round(one.seconds, 2), "cost": one.schedule.cost.total, "windows": windows_broken(one.schedule)}


def _mine(timetable: Timetable) -> Any:
    return Timetable.objects.filter(
        pk=timetable.pk, state=State.WORKING, attempts=timetable.attempts, started_at=timetable.started_at
    )
