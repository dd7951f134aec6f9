"""The front door: what matters today, or how to begin."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from studio.access import open_to_all
from studio.models import Account
from studio.services.first_steps import first_steps
from studio.web.htmx import render_page
from studio.web.topline import address_of


@require_safe
@open_to_all
def home(request: HttpRequest) -> HttpResponse:
    """Lead to the jobs; on a new installation, say what comes first."""
    if not request.user.is_authenticated:
        if Account.objects.exists():
            return redirect("studio:sign_in")
        return render_page(request, "studio/no_accounts.html")
    steps = first_steps(request.user)
    if any(not step.done for step in steps):
        return render_page(request, "studio/home.html", {"steps": steps, "jobs_address": address_of("jobs:jobs_list")})
    return redirect("jobs:jobs_list" if address_of("jobs:jobs_list") else "studio:studio_show")
