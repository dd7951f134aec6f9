"""The studio's profile and its logo."""

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from studio.access import Right, for_anyone_signed_in, needs
from studio.forms.profile import LogoForm, ProfileForm, typed_from
from studio.services import profile as profiles
from studio.services.errors import LogoError
from studio.services.logo import LARGEST_FILE_BYTES, clean_logo
from studio.web.context import current_profile
from studio.web.downloads import SANDBOX
from studio.web.htmx import render_page


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def profile_edit(request: HttpRequest) -> HttpResponse:
    """Show the profile and change it."""
    form = ProfileForm(request.POST or None, initial=typed_from(current_profile()))
    if request.method == "POST" and form.is_valid():
        profiles.change_profile(values=form.cleaned_data)
        messages.success(request, "The profile is saved. Quotes that are frozen keep what they were frozen with.")
        return redirect("studio:profile_edit")
    return _page(request, form, LogoForm(), status=422 if request.method == "POST" else 200)


@require_POST
@needs(Right.CHANGE_STUDIO)
def logo_change(request: HttpRequest) -> HttpResponse:
    """Take a picture in as the studio's logo."""
    form = LogoForm(request.POST, request.FILES)
    if form.is_valid():
        upload: UploadedFile[bytes] = form.cleaned_data["logo"]
        try:
            profiles.change_logo(logo=clean_logo(content=upload.read(LARGEST_FILE_BYTES + 1), name=upload.name or ""))
        except LogoError as refused:
            form.add_error("logo", str(refused))
        else:
            messages.success(request, "The logo is kept; new prints carry it.")
            return redirect("studio:profile_edit")
    return _page(request, ProfileForm(initial=typed_from(current_profile())), form, status=422)


@require_POST
@needs(Right.CHANGE_STUDIO)
def logo_remove(request: HttpRequest) -> HttpResponse:
    """Do without a logo."""
    profiles.remove_logo()
    messages.success(request, "The logo is removed.")
    return redirect("studio:profile_edit")


@require_safe
@for_anyone_signed_in
def logo_show(request: HttpRequest) -> FileResponse:  # noqa: ARG001
    """Serve the logo as a picture that can do nothing else."""
    logo = current_profile().logo
    if not logo.name or not logo.storage.exists(logo.name):
        raise Http404("The studio has no logo.")
    response = FileResponse(logo.open("rb"), content_type="image/png", filename="logo.png")
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = SANDBOX
    response["Cache-Control"] = "private, no-store"
    return response


def _page(request: HttpRequest, form: ProfileForm, logo_form: LogoForm, *, status: int) -> HttpResponse:
    context = {"form": form, "logo_form": logo_form, "has_logo": bool(current_profile().logo)}
    return render_page(request, "studio/profile.html", context, status=status)
