"""What every page of one job loads."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from jobs.errors import JobNotReady
from jobs.models import Job, Plan
from jobs.planning.results import MoldPlan
from jobs.services.plans import compute_so_far, plan_of
from jobs.titleblock import title_block
from studio.access import Right


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """A job with its kept plan, and what is missing where the plan cannot be computed."""

    job: Job
    plan: Plan
    made: MoldPlan | None
    problem: JobNotReady | None


def job_or_404(number: int) -> Job:
    """Find a job by its number, with its client and piece."""
    job: Job = get_object_or_404(Job.objects.select_related("client", "piece"), number=number)
    return job


def load(number: int) -> JobPage:
    """Load a job and compute its kept plan."""
    job = job_or_404(number)
    plan = plan_of(job)
    try:
        return JobPage(job=job, plan=plan, made=compute_so_far(plan), problem=None)
    except JobNotReady as problem:
        return JobPage(job=job, plan=plan, made=None, problem=problem)


def may_change(request: HttpRequest) -> bool:
    """Say whether whoever asks may change jobs."""
    return bool(request.user.may(Right.CHANGE_JOBS))  # type: ignore[union-attr]


def context_of(request: HttpRequest, page: JobPage, *, here: str) -> dict[str, Any]:
    """Return what the frame of a job's page shows; `here` names the stage that the page is."""
    account = request.user
    return {
        "job": page.job,
        "plan": page.plan,
        "made": page.made,
        "problem": page.problem,
        "about": title_block(page.job, account, page.made),  # type: ignore[arg-type]
        "here": here,
        "may_change": may_change(request),
        "may_see_money": account.may(Right.SEE_MONEY),  # type: ignore[union-attr]
    }
