"""Asking for the prints of a job."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from jobs.documents import PRINTS
from jobs.models import Job
from jobs.views.loading import job_or_404
from studio.access import Right, needs
from studio.documents.outbox import request_document
from studio.models import Document

SHOWN = 3


@needs(Right.SEE_JOBS)
@require_POST
def handout_print(request: HttpRequest, number: int) -> HttpResponse:
    """Ask for the cure-schedule handout."""
    return _ask(request, number, "cure-handout")


@needs(Right.SEE_JOBS)
@require_POST
def plan_sheet_print(request: HttpRequest, number: int) -> HttpResponse:
    """Ask for the plan sheet."""
    return _ask(request, number, "plan-sheet")


@needs(Right.SEE_JOBS)
@require_POST
def shell_card_print(request: HttpRequest, number: int) -> HttpResponse:
    """Ask for the shell card."""
    return _ask(request, number, "shell-card")


@needs(Right.SEE_JOBS)
@require_POST
def casting_card_print(request: HttpRequest, number: int) -> HttpResponse:
    """Ask for the casting card."""
    return _ask(request, number, "casting-card")


def _ask(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    job, one = job_or_404(number), PRINTS[kind]
    title = f"{one.name} of job {job.number}"
    request_document(kind=kind, subject_id=job.pk, title=title, by=request.user)  # type: ignore[arg-type]
    return redirect(one.page, number=number)


def printed_here(job: Job, kind: str) -> dict[str, Any]:
    """Return the latest prints of a kind, for the page on which they are asked for."""
    return {"documents": Document.objects.filter(kind=kind, subject_id=job.pk)[:SHOWN]}
