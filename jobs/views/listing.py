"""The list of jobs: a day book with its filter written as a sentence."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.forms.jobs import JobsFilterForm
from jobs.models import Job
from jobs.moves import TONES
from jobs.querysets import JobQuerySet
from studio.access import Right, needs
from studio.web.htmx import render_page

LINES = 50


@needs(Right.SEE_JOBS)
@require_safe
def jobs_list(request: HttpRequest) -> HttpResponse:
    """List jobs, newest first."""
    form = JobsFilterForm(request.GET or None, initial={"which": "open"})
    found = _chosen(form).for_list().order_by("-number")
    page = Paginator(found, LINES).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "lines": [(job, TONES[job.state]) for job in page],
        "filtered": bool(request.GET),
        "any_jobs": page.paginator.count > 0 or Job.objects.exists(),
        "may_change": request.user.may(Right.CHANGE_JOBS),  # type: ignore[union-attr]
        "status": 200 if form.is_valid() or not form.is_bound else 422,
    }
    return render_page(request, "jobs/jobs_list.html", context, partial="jobs-table", status=int(str(context["status"])))


def _chosen(form: JobsFilterForm) -> JobQuerySet:
    jobs: JobQuerySet = Job.objects.all()
    values = form.cleaned_data if form.is_bound and form.is_valid() else {}
    which = values.get("which") or "open"
    if which == "open":
        jobs = jobs.still_open()
    elif which == "closed":
        jobs = jobs.closed()
    if values.get("before"):
        jobs = jobs.promised_before(values["before"])
    if values.get("words"):
        jobs = jobs.matching(values["words"])
    return jobs
