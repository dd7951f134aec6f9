"""Photographs of a piece, on the piece's page."""

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from jobs.errors import PhotoRefused
from jobs.forms.photos import CaptionForm, PhotoForm
from jobs.models import PiecePhoto
from jobs.services.photos import LARGEST_FILE_BYTES, add_photo, bring_back_photo, change_photo, remove_photo
from jobs.views.loading import job_or_404
from jobs.views.pieces import piece_page
from studio.access import Right, account_of, needs
from studio.web.downloads import SANDBOX


@needs(Right.SEE_JOBS)
@require_safe
def photo_show(_request: HttpRequest, number: int, pk: int) -> FileResponse:
    """Hand out one photograph, as a picture that can do nothing else."""
    return photo_file(_photo(number, pk))


@needs(Right.CHANGE_JOBS)
@require_POST
def photo_add(request: HttpRequest, number: int) -> HttpResponse:
    """Take a photograph in."""
    job = job_or_404(number)
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        upload: UploadedFile[bytes] = form.cleaned_data["photo"]
        try:
            add_photo(
                piece=job.piece, content=upload.read(LARGEST_FILE_BYTES + 1), name=upload.name or "",
                caption=form.cleaned_data["caption"], on_quote=form.cleaned_data["on_quote"], by=account_of(request),
            )  # fmt: skip
        except PhotoRefused as refused:
            form.add_error("photo", str(refused))
        else:
            messages.success(request, "The photograph is kept.")
            return redirect("jobs:piece_show", number=number)
    return piece_page(request, number, photo_form=form)


@needs(Right.CHANGE_JOBS)
@require_POST
def photo_change(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Change what stands under a photograph, or take it off the page."""
    photo, form = _photo(number, pk), CaptionForm(request.POST)
    if "remove" in request.POST:
        remove_photo(photo=photo)
        messages.success(request, "The photograph is removed. Quotes that show it keep it; it can be brought back below.")
    elif form.is_valid():
        change_photo(photo=photo, caption=form.cleaned_data["caption"], on_quote=form.cleaned_data["on_quote"])
        messages.success(request, "What stands under the photograph is kept.")
    else:
        messages.error(request, "What stands under a photograph may have at most 160 characters; write it shorter.")
    return redirect("jobs:piece_show", number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def photo_back(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Bring a removed photograph back."""
    try:
        bring_back_photo(photo=_photo(number, pk))
    except PhotoRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The photograph is back.")
    return redirect("jobs:piece_show", number=number)


def photo_file(photo: PiecePhoto) -> FileResponse:
    """Answer with the picture itself."""
    try:
        response = FileResponse(photo.file.open("rb"), content_type="image/jpeg", filename="photograph.jpg")
    except FileNotFoundError:
        raise Http404("The file of this photograph is no longer in the studio's data folder.") from None
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = SANDBOX
    response["Cache-Control"] = "private, no-store"
    return response


def _photo(number: int, pk: int) -> PiecePhoto:
    return get_object_or_404(PiecePhoto.objects.select_related("piece"), pk=pk, piece__job__number=number)
