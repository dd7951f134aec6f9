"""Jobs that are planned otherwise now than the days in use lay them out: more coats, fewer castings, other positions."""

from collections import defaultdict
from collections.abc import Iterator

from jobs.days.plans import LAID_OUT
from jobs.models import Job, Timetable, TimetableEntry
from jobs.services.plans_together import plans_of


def planned_otherwise(timetable: Timetable) -> Iterator[tuple[Job, str]]:
    """Say of each job how many tasks its plan has that a timetable does not know, and the other way round.

    The plans are computed anew, because a study or a takeoff changes one as well as a person does. The number of queries does
    not grow with the jobs.
    """
    laid: dict[int, set[str]] = defaultdict(set)
    for job, key in TimetableEntry.objects.filter(timetable=timetable).values_list("job_id", "plan_key"):
        laid[job].add(key)
    if not laid:
        return
    jobs = Job.objects.filter(pk__in=laid, state__in=LAID_OUT).order_by("number")
    plans = plans_of(job.pk for job in jobs)
    for job in jobs:
        plan = plans[job.pk]
        if isinstance(plan, str):
            continue
        keys = {task.key for task in plan.tasks}
        new, gone = len(keys - laid[job.pk]), len(laid[job.pk] - keys)
        texts = [text for text in (_counted(new, "not in the days in use"), _counted(gone, "no longer in it")) if text]
        if texts:
            yield job, f"The plan of job {job.number} is another one now: {' and '.join(texts)}."


def _counted(number: int, words: str) -> str:
    if not number:
        return ""
    return f"one of its tasks is {words}" if number == 1 else f"{number} of its tasks are {words}"
