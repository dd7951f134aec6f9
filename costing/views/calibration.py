"""Were the ranges right: frozen P10, P50 and P90 against what came out."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.calibration_drawing import calibration_drawing
from costing.services.calibration import calibration
from studio.access import Right, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page


@needs(Right.SEE_MONEY)
@require_safe
def calibration_show(request: HttpRequest) -> HttpResponse:
    """Show every delivered job on its own range."""
    found, profile = calibration(), current_profile()
    kinds = [(one, calibration_drawing(one, profile), 100 * one.counts.low, 100 * one.counts.high) for one in found.kinds]
    return render_page(request, "costing/calibration.html", {"found": found, "kinds": kinds})
