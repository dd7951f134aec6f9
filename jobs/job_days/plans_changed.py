"""Jobs that are planned otherwise now than the days in use lay them out: more coats, fewer castings, other positions."""

from collections import defaultdict
from collections.abc import Iterator

from jobs.days.plans import planned_jobs
from jobs.models import Job, Timetable, TimetableEntry


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
    jobs, _ = planned_jobs()
    for one in jobs:
        if one.job.pk not in laid:
            continue
        keys = {task.key for task in one.made.tasks}
        new, gone = len(keys - laid[one.job.pk]), len(laid[one.job.pk] - keys)
        texts = [text for text in (_counted(new, "not in the days in use"), _counted(gone, "no longer in it")) if text]
        if texts:
            yield one.job, f"The plan of job {one.job.number} is another one now: {' and '.join(texts)}."


def _counted(number: int, words: str) -> str:
    if not number:
        return ""
    return f"one of its tasks is {words}" if number == 1 else f"{number} of its tasks are {words}"
