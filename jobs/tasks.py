"""Tasks of the jobs app; each takes ids, calls one function and is safe to run twice."""

from celery import shared_task

from jobs.days import questions
from jobs.days import working as days
from jobs.geometry.kernels import COMPILE_S
from jobs.geometry.mesh_limits import WALL_BIG_S
from jobs.scans import measuring
from jobs.studies import working

# The first that wants kernels may have to wait until they are compiled.
LIMIT_S = int(2 * WALL_BIG_S + COMPILE_S)


@shared_task(name="jobs.tasks.measure_scan", ignore_result=True, soft_time_limit=LIMIT_S, time_limit=LIMIT_S + 30)
def measure_scan(scan_id: int) -> str:
    """Look at an uploaded scan, or measure it when its unit is known."""
    return measuring.process(scan_id)


@shared_task(name="jobs.tasks.sweep_scans", ignore_result=True)
def sweep_scans() -> int:
    """Push scans whose task was lost."""
    return measuring.sweep()


@shared_task(name="jobs.tasks.study_piece", ignore_result=True, soft_time_limit=LIMIT_S, time_limit=LIMIT_S + 30)
def study_piece(study_id: int) -> str:
    """Study the shape of a piece for its plan."""
    return working.process(study_id)


@shared_task(name="jobs.tasks.sweep_studies", ignore_result=True)
def sweep_studies() -> int:
    """Push studies whose task was lost, and ask for those that are missing."""
    return working.sweep()


@shared_task(name="jobs.tasks.find_timetable", ignore_result=True)
def find_timetable(timetable_id: int) -> str:
    """Look for the days of all open jobs."""
    return days.process(timetable_id)


@shared_task(name="jobs.tasks.answer_days_question", ignore_result=True)
def answer_days_question(question_id: int) -> str:
    """Answer a question about the days of one job."""
    return questions.process_question(question_id)


@shared_task(name="jobs.tasks.sweep_days", ignore_result=True)
def sweep_days() -> int:
    """Push timetables and questions about days whose task was lost."""
    return days.sweep()
