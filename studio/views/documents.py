"""Documents: how far one is, its file, and asking again after a failure."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from studio.access import account_of, for_anyone_signed_in
from studio.documents.errors import UnknownKindError
from studio.documents.files import path_of
from studio.documents.outbox import retry_document
from studio.documents.registry import kind_of
from studio.models import Document
from studio.web.downloads import SANDBOX
from studio.web.htmx import wants_partial


def _open_document(request: HttpRequest, public_id: UUID) -> Document:
    """Return the row if this person's role holds the right of its kind."""
    document = get_object_or_404(Document, public_id=public_id)
    try:
        right = kind_of(document).right
    except UnknownKindError as problem:
        raise Http404(str(problem)) from None
    if not account_of(request).may(right):
        raise PermissionDenied(f"Your role in this studio does not let you {right.value}.")
    return document


def _show(request: HttpRequest, document: Document) -> HttpResponse:
    template = "studio/_document.html" if wants_partial(request) else "studio/documents_status.html"
    response = render(request, template, {"document": document})
    patch_vary_headers(response, ("HX-Request",))
    return response


@for_anyone_signed_in
@never_cache
@require_GET
def documents_status(request: HttpRequest, public_id: UUID) -> HttpResponse:
    """Show how far a document is; the page's part asks again each second while work goes on."""
    return _show(request, _open_document(request, public_id))


@for_anyone_signed_in
@never_cache
@require_GET
def documents_download(request: HttpRequest, public_id: UUID) -> HttpResponseBase:
    """Send a ready document's file, never to be shown inside the site."""
    document = _open_document(request, public_id)
    if document.state != Document.State.READY:
        return redirect("studio:documents_status", public_id=document.public_id)
    try:
        file = path_of(document).open("rb")
    except FileNotFoundError:
        raise Http404("The file of this document is no longer in the studio's data folder. Print it again.") from None
    response = FileResponse(file, as_attachment=True, filename=document.file_name, content_type=document.content_type)
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


@for_anyone_signed_in
@require_POST
def documents_retry(request: HttpRequest, public_id: UUID) -> HttpResponse:
    """Queue a failed document again."""
    document = _open_document(request, public_id)
    retry_document(document)
    if wants_partial(request):
        document.refresh_from_db()
        return _show(request, document)
    return redirect("studio:documents_status", public_id=document.public_id)
