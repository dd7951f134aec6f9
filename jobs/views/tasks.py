"""The work in its order, with minutes of one's own where the computed ones do not fit."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from jobs.forms.minutes import MinutesForm
from jobs.services.plans import keep_minutes
from jobs.task_table import task_table
from jobs.views.loading import context_of, load
from studio.access import Right, needs
from studio.web.htmx import render_page


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def tasks_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show every task with its minutes; keep own ones."""
    page = load(number)
    own = {row.task_key: row.minutes for row in page.plan.own_minutes.all()}
    tasks = task_table(page.made)
    form = MinutesForm(request.POST if request.method == "POST" else None, table=tasks, own=own)
    if form.is_bound:
        if not request.user.may(Right.CHANGE_JOBS):  # type: ignore[union-attr]
            raise PermissionDenied("Your role in this studio does not let you change plans.")
        if form.is_valid():
            keep_minutes(plan=page.plan, minutes=form.minutes(), by=request.user)  # type: ignore[arg-type]
            messages.success(request, "Your minutes are kept; every other task is computed.")
            return redirect("jobs:tasks_show", number=number)
    context = {**context_of(request, page, here="tasks"), "form": form, "own": own, "tasks": tasks}
    return render_page(request, "jobs/tasks.html", context, status=422 if form.is_bound else 200)
