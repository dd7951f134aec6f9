"""The piece: what it is, what was measured, and earlier takeoffs to put back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.drawings import piece_drawing
from jobs.errors import JobNotReady
from jobs.forms.photos import PhotoForm, caption_form
from jobs.forms.pieces import PieceForm
from jobs.geometry.errors import GeometryError
from jobs.geometry.takeoff import Takeoff
from jobs.inputs import latest_record, takeoff_of
from jobs.models import Piece, Plan, ScanFile, TakeoffRecord
from jobs.services.photos import last_removed, shown
from jobs.services.pieces import change_piece, use_takeoff
from jobs.studies.asking import study_for
from jobs.studies.pictures import still_images
from jobs.views.loading import context_of, job_or_404, load
from studio.access import Right, needs
from studio.figures import Figure
from studio.web.htmx import render_page

TAKEOFFS_SHOWN = 30


@needs(Right.SEE_JOBS)
@require_safe
def piece_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show the piece with its takeoff."""
    return piece_page(request, number)


def piece_page(request: HttpRequest, number: int, *, photo_form: PhotoForm | None = None) -> HttpResponse:
    """Answer with the piece's page; a photograph that was refused keeps what was typed beside it."""
    page = load(number)
    piece = page.job.piece
    record = latest_record(piece)
    takeoff, unreadable = _takeoff(piece)
    context = {
        **context_of(request, page, here="piece"),
        "piece": piece,
        "record": record,
        "takeoff": takeoff,
        "unreadable": unreadable,
        "figures": takeoff_figures(takeoff) if takeoff else [],
        "drawing": piece_drawing(takeoff) if takeoff else "",
        "shape_shown": shape_shown(page.plan),
        "scans": piece.scans.all(),
        "busy": piece.scans.filter(state__in=[ScanFile.State.QUEUED, ScanFile.State.READING]).exists(),
        "earlier": piece.takeoffs.exclude(pk=record.pk if record else 0).select_related("scan")[:TAKEOFFS_SHOWN],
        "photos": [(photo, caption_form(photo)) for photo in shown(piece)],
        "removed_photo": last_removed(piece),
        "photo_form": photo_form or PhotoForm(),
    }
    return render_page(request, "jobs/piece.html", context, status=200 if photo_form is None else 422)


@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def piece_change(request: HttpRequest, number: int) -> HttpResponse:
    """Change what the piece is called, its surface and its weight."""
    job = job_or_404(number)
    form = PieceForm(request.POST if request.method == "POST" else None, piece=job.piece)
    if form.is_bound and form.is_valid():
        change_piece(piece=job.piece, values=form.cleaned_data)
        messages.success(request, "The piece is changed.")
        return redirect("jobs:piece_show", number=number)
    context = {"form": form, "job": job, "piece": job.piece}
    return render_page(request, "jobs/piece_change.html", context, status=422 if form.is_bound else 200)


@needs(Right.CHANGE_JOBS)
@require_POST
def takeoff_use(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Put an earlier takeoff back to use."""
    record = get_object_or_404(TakeoffRecord.objects.select_related("piece"), pk=pk, piece__job__number=number)
    try:
        use_takeoff(record=record)
    except GeometryError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The earlier measurement is in use again; the one before it is kept below.")
    return redirect("jobs:piece_show", number=number)


def takeoff_figures(takeoff: Takeoff) -> list[Figure]:
    """Return what the takeoff tells, in the order of the page."""
    figures = [takeoff.area, takeoff.volume, takeoff.mean_curvature]
    if takeoff.stands_on_board:
        figures += [takeoff.footprint_area, takeoff.rim_length, takeoff.flange_area]
    return figures


def shape_shown(plan: Plan) -> str:
    """Say whether the studied shape can be shown: "fits" this plan, "other" was made for another one, empty when not."""
    study = study_for(plan)
    if study is None or not still_images(study, "depth-front"):
        return ""
    return "fits" if study.fits else "other"


def _takeoff(piece: Piece) -> tuple[Takeoff | None, str]:
    try:
        return takeoff_of(piece), ""
    except JobNotReady as error:
        return None, str(error)
