"""What the shelf holds for a job: reserved, released, reserved anew."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from jobs.errors import JobNotReady
from jobs.models import Job
from jobs.services.reserving import HOLDS, Reserved, release, reserve, reserve_anew, reserved_of
from jobs.views.loading import JobPage, job_or_404
from materials import ledger
from materials.errors import MaterialsError
from studio.access import Right, account_of, needs
from studio.figures import WorkingError


@require_POST
@needs(Right.CHANGE_JOBS)
def reserved_take(request: HttpRequest, number: int) -> HttpResponse:
    """Reserve what the job needs and does not hold."""
    return _done(request, number, reserve)


@require_POST
@needs(Right.CHANGE_JOBS)
def reserved_anew(request: HttpRequest, number: int) -> HttpResponse:
    """Release what is held and reserve what the plan needs now."""
    return _done(request, number, reserve_anew)


@require_POST
@needs(Right.CHANGE_JOBS)
def reserved_release(request: HttpRequest, number: int) -> HttpResponse:
    """Release all that is held for the job."""
    job = job_or_404(number)
    try:
        released = ledger.patiently(lambda: release(job=job, by=account_of(request)))
    except MaterialsError as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "All is released." if released else "Nothing was reserved for this job.")
    return redirect("jobs:job_show", number=number)


def reserved_shown(page: JobPage, account: Any) -> dict[str, Any]:
    """Return what a job's page shows of its reservations; nothing of an enquiry that holds nothing."""
    if not account.may(Right.SEE_STOCK):
        return {}
    found = reserved_of(page.job, page.made)
    return {"reserved": found if found.held or page.job.state in HOLDS else None, "may_reserve": page.job.state in HOLDS}


def _done(request: HttpRequest, number: int, act: Callable[..., Reserved]) -> HttpResponse:
    job = job_or_404(number)
    if job.state not in HOLDS:
        messages.error(
            request, f"Job {number} is “{Job.State(job.state).label}”: it reserves nothing until the client has agreed."
        )
        return redirect("jobs:job_show", number=number)
    try:
        found = ledger.patiently(lambda: act(job=job, by=account_of(request)))
    except (JobNotReady, WorkingError, MaterialsError) as refused:
        messages.error(request, f"Nothing was reserved: {refused}")
    else:
        short = [line.material.name for line in found.lines if line.short_g]
        messages.success(
            request,
            f"Reserved as far as there is; short: {', '.join(short)}." if short else "All that the plan needs is reserved.",
        )
    return redirect("jobs:job_show", number=number)
