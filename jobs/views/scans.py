"""Scans of a piece: sending one, answering what its file does not say, watching it being measured."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.errors import JobsError, ScanRefused
from jobs.forms.scans import ScanUnitForm, ScanUploadForm
from jobs.geometry.mesh_files import KINDS
from jobs.geometry.mesh_limits import MAX_FACES, MAX_FILE_BYTES
from jobs.geometry.mesh_units import UNIT_NAMES
from jobs.inputs import readings_of
from jobs.models import Job, ScanFile
from jobs.scans.files import TOO_LARGE
from jobs.scans.uploading import BoundedUploadHandler
from jobs.services.scans import add_scan, answer_scan, remove_scan, retry_scan
from jobs.views.loading import job_or_404
from studio.access import Right, needs
from studio.web.htmx import render_page

# A form around the file adds a little; a request announced as larger is not read at all.
FORM_BYTES = 100_000


@csrf_exempt
@needs(Right.CHANGE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def scan_add(request: HttpRequest, number: int) -> HttpResponse:
    """Take in a scan; the token against forged requests is checked after the size limit stands (see below)."""
    if request.method == "POST":
        announced = request.META.get("CONTENT_LENGTH", "0")
        if announced.isdecimal() and int(announced) > MAX_FILE_BYTES + FORM_BYTES:
            return _form(request, job_or_404(number), ScanUploadForm(), too_large=TOO_LARGE)
        # Handlers must be set before anything reads the request's body, which checking the token does.
        request.upload_handlers = [BoundedUploadHandler(request)]
    return _scan_add(request, number)


@csrf_protect
def _scan_add(request: HttpRequest, number: int) -> HttpResponse:
    job = job_or_404(number)
    if request.method != "POST":
        return _form(request, job, ScanUploadForm())
    form = ScanUploadForm(request.POST, request.FILES)
    if any(getattr(handler, "too_large", False) for handler in request.upload_handlers):
        return _form(request, job, form, too_large=TOO_LARGE)
    if form.is_valid():
        try:
            scan = add_scan(piece=job.piece, upload=form.cleaned_data["file"], by=request.user)  # type: ignore[arg-type]
        except ScanRefused as error:
            if error.too_large:
                return _form(request, job, form, too_large=str(error))
            form.add_error("file", str(error))
        except JobsError as error:
            form.add_error(None, str(error))
        else:
            return redirect("jobs:scan_show", number=number, pk=scan.pk)
    return _form(request, job, form, status=422)


@needs(Right.SEE_JOBS)
@require_safe
def scan_show(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Show one scan: how far it is, the question about its unit, what was measured, or why not."""
    job = job_or_404(number)
    scan = _scan(number, pk)
    return _scan_page(request, job, scan, ScanUnitForm(initial=_initial(job, scan), facts=scan.facts))


@needs(Right.CHANGE_JOBS)
@require_POST
def scan_measure(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Take the answer about unit and stand, and let the scan be measured."""
    job = job_or_404(number)
    scan = _scan(number, pk)
    form = ScanUnitForm(request.POST, facts=scan.facts)
    if not form.is_valid():
        return _scan_page(request, job, scan, form, status=422)
    values = form.cleaned_data
    on_board = values["stands_on_board"]
    wishes = {
        "stands_on_board": on_board,
        "flange_width_mm": float(values["flange_width"] or 0) if on_board else 0.0,
        "texture_height_mm": float(values["texture_height"] or 0),
        "texture_spacing_mm": float(values["texture_spacing"] or 0),
    }
    try:
        answer_scan(scan=scan, unit=values["unit"], up_axis=values["up_axis"], wishes=wishes)
    except JobsError as error:
        messages.error(request, str(error))
    return redirect("jobs:scan_show", number=number, pk=pk)


@needs(Right.CHANGE_JOBS)
@require_POST
def scan_retry(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Let the worker try a refused scan again."""
    retry_scan(scan=_scan(number, pk))
    messages.success(request, "The worker tries this scan again.")
    return redirect("jobs:scan_show", number=number, pk=pk)


@needs(Right.CHANGE_JOBS)
@require_POST
def scan_remove(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Remove a scan and its file."""
    scan = _scan(number, pk)
    name = scan.original_name
    remove_scan(scan=scan)
    messages.success(request, f"“{name}” is removed. What was measured from it stays.")
    return redirect("jobs:piece_show", number=number)


def _scan(number: int, pk: int) -> ScanFile:
    return get_object_or_404(ScanFile.objects.select_related("piece"), pk=pk, piece__job__number=number)


def _initial(job: Job, scan: ScanFile) -> dict[str, Any]:
    kept = readings_of(job.piece)
    wishes = scan.wishes
    return {
        "unit": scan.unit or scan.facts.get("guess", "mm"),
        "up_axis": scan.up_axis if scan.unit else scan.facts.get("up_axis") or scan.up_axis,
        "stands_on_board": wishes.get("stands_on_board", kept.stands_on_board),
        "flange_width": wishes.get("flange_width_mm", kept.flange_width_mm),
        "texture_height": wishes.get("texture_height_mm", kept.texture_height_mm),
        "texture_spacing": wishes.get("texture_spacing_mm", kept.texture_spacing_mm),
    }


def _scan_page(request: HttpRequest, job: Job, scan: ScanFile, form: ScanUnitForm, *, status: int = 200) -> HttpResponse:
    context = {
        "job": job,
        "piece": job.piece,
        "scan": scan,
        "form": form,
        "guess": UNIT_NAMES.get(scan.facts.get("guess", ""), ""),
        "busy": scan.state in {ScanFile.State.QUEUED, ScanFile.State.READING},
        "may_change": request.user.may(Right.CHANGE_JOBS),  # type: ignore[union-attr]
    }
    return render_page(request, "jobs/scan.html", context, partial="scan-state", status=status)


def _form(request: HttpRequest, job: Job, form: ScanUploadForm, *, too_large: str = "", status: int = 200) -> HttpResponse:
    context = {
        "job": job,
        "piece": job.piece,
        "form": form,
        "too_large": too_large,
        "kinds": KINDS,
        "most_mb": round(MAX_FILE_BYTES / 1e6),
        "most_faces": MAX_FACES,
    }
    return render_page(request, "jobs/scan_add.html", context, status=413 if too_large else status)
