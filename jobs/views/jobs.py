"""Adding and changing a job, and moving it from state to state."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from jobs.errors import JobsError
from jobs.forms.jobs import JobForm
from jobs.models import Client, Job
from jobs.services.clients import add_client
from jobs.services.jobs import add_job, change_job, move_job
from jobs.views.loading import job_or_404
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page


@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def job_add(request: HttpRequest) -> HttpResponse:
    """Add a job; its number comes from the service."""
    initial = {"client": request.GET.get("client", "")} if request.GET.get("client", "").isdecimal() else {}
    form = JobForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_bound and form.is_valid():
        with transaction.atomic():
            values = form.cleaned_data
            job = add_job(
                title=values["title"],
                client=_client(form),
                piece_name=values["piece_name"],
                promised_on=values["promised_on"],
                note=values["note"],
                by=request.user,  # type: ignore[arg-type]
            )
        messages.success(request, f"Job {job.number} is added. Measure its piece next.")
        return redirect("jobs:job_show", number=job.number)
    status = 422 if form.is_bound else 200
    return render_page(request, "jobs/job_add.html", {"form": form}, status=status)


@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def job_change(request: HttpRequest, number: int) -> HttpResponse:
    """Change a job's title, client, piece and promised day."""
    job = job_or_404(number)
    form = JobForm(request.POST if request.method == "POST" else None, job=job)
    if form.is_bound and form.is_valid():
        values = form.cleaned_data
        with transaction.atomic():
            change_job(
                job=job,
                title=values["title"],
                client=_client(form),
                piece_name=values["piece_name"],
                promised_on=values["promised_on"],
                note=values["note"],
            )
        messages.success(request, "The job is changed.")
        return redirect("jobs:job_show", number=job.number)
    status = 422 if form.is_bound else 200
    return render_page(request, "jobs/job_change.html", {"form": form, "job": job}, status=status)


@needs(Right.CHANGE_JOBS)
@require_POST
def job_move(request: HttpRequest, number: int) -> HttpResponse:
    """Move a job to another state."""
    job = job_or_404(number)
    try:
        move_job(job=job, to=request.POST.get("to", "")[:20], by=account_of(request))
    except JobsError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Job {job.number} is “{Job.State(job.state).label}” now.")
    return redirect("jobs:job_show", number=job.number)


def _client(form: JobForm) -> Client:
    values = form.cleaned_data
    chosen: Client | None = values["client"]
    if chosen is not None:
        return chosen
    return add_client(name=values["new_client"], email=values["new_client_email"], phone=values["new_client_phone"])
