"""What a quote does to its job's state, by the moves that the job itself allows."""

from jobs.models import Job
from jobs.moves import move_to
from jobs.services.jobs import move_job
from studio.models import Account

# Ways that need a step between: a declined job is taken up as an enquiry before it is quoted again.
STEPS: dict[tuple[str, str], tuple[str, ...]] = {
    (Job.State.DECLINED, Job.State.QUOTED): (Job.State.ENQUIRY, Job.State.QUOTED),
}


def bring_job(*, job: Job, to: str, by: Account | None = None) -> bool:
    """Move the job where the quote's state wants it, if its moves allow; say whether it is there now.

    A job that is already being made stays as it is: the work at hand counts for more than the paper.
    """
    # Somebody else may have moved the job since it was read.
    job.state = Job.objects.select_for_update().values_list("state", flat=True).get(pk=job.pk)
    if not to or job.state == to:
        return True
    for step in STEPS.get((job.state, to), (to,)):
        if move_to(job.state, step) is None:
            return False
        move_job(job=job, to=step, by=by)
    return True
