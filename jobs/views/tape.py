"""The tape editor: rows that are added, taken away and moved, live figures, and keeping the readings."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from jobs.drawings import piece_drawing
from jobs.forms.tape_editor import TapeEditor, change_rows
from jobs.geometry.errors import GeometryError
from jobs.geometry.takeoff import Takeoff
from jobs.geometry.tape import takeoff_from_tape
from jobs.inputs import readings_of
from jobs.models import Job
from jobs.readings import brief_of_readings
from jobs.services.pieces import keep_readings
from jobs.views.loading import job_or_404
from jobs.views.pieces import takeoff_figures
from studio.access import Right, needs
from studio.web import baseline
from studio.web.context import current_profile
from studio.web.htmx import render_page
from studio.web.working import shown_of


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def tape_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show the editor; change its rows, show its figures, or keep its readings."""
    job = job_or_404(number)
    if request.method != "POST":
        editor = TapeEditor.of(readings_of(job.piece))
        takeoff, problem = _measured(editor) if job.piece.measured_by == "tape" else (None, "")
        texts = baseline.texts_of(takeoff_figures(takeoff), _text) if takeoff else {}
        return _answer(request, job, editor, takeoff, problem, before=texts)
    before = baseline.read(request.POST.get(baseline.FIELD))
    action = request.POST.get("action", "show")
    if action not in {"show", "keep"}:
        data, fresh_row = change_rows(request.POST, action)
        editor = TapeEditor.from_post(data, fresh_row=fresh_row, kept=readings_of(job.piece))
        return _answer(request, job, editor, *_measured(editor), before=before, partial="tape-editor")
    editor = TapeEditor.from_post(request.POST, kept=readings_of(job.piece))
    takeoff, problem = _measured(editor)
    if action == "keep" and takeoff is not None:
        return _keep(request, job, editor)
    status = 422 if problem and action == "keep" else 200
    return _answer(request, job, editor, takeoff, problem, before=before, partial="figures", status=status)


def _keep(request: HttpRequest, job: Job, editor: TapeEditor) -> HttpResponse:
    if not request.user.may(Right.CHANGE_JOBS):  # type: ignore[union-attr]
        raise PermissionDenied("Your role in this studio does not let you measure pieces.")
    keep_readings(piece=job.piece, readings=editor.readings())
    messages.success(request, "The readings are kept and the piece is measured by them.")
    return redirect("jobs:piece_show", number=job.number)


def _measured(editor: TapeEditor) -> tuple[Takeoff | None, str]:
    """Measure what the editor holds, or say what is in the way."""
    if not editor.is_valid():
        return None, editor.first_fault()
    try:
        return takeoff_from_tape(brief_of_readings(editor.readings())), ""
    except GeometryError as error:
        return None, str(error)


def _answer(
    request: HttpRequest,
    job: Job,
    editor: TapeEditor,
    takeoff: Takeoff | None,
    problem: str,
    *,
    before: dict[str, str],
    partial: str = "",
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        "job": job,
        "piece": job.piece,
        "editor": editor,
        "takeoff": takeoff,
        "problem": problem,
        "figures": takeoff_figures(takeoff) if takeoff else [],
        "drawing": piece_drawing(takeoff) if takeoff else "",
        "was": before,
        "baseline": baseline.write(before),
        "may_change": request.user.may(Right.CHANGE_JOBS),  # type: ignore[union-attr]
    }
    return render_page(request, "jobs/tape.html", context, partial=partial, status=status)


def _text(figure: Any) -> str:
    return str(shown_of(figure, current_profile()))
