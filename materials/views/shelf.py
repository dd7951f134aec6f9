"""The shelf: what is there, what is promised, and what wants looking at."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from materials.models import Material, ScrapBin
from materials.services.shelf import look_at_shelf
from materials.views.shelf_drawing import container
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page


@require_safe
@needs(Right.SEE_STOCK)
def stock_show(request: HttpRequest) -> HttpResponse:
    """Show what stands on the shelf."""
    rights, profile = account_of(request).rights(), current_profile()
    shelf = look_at_shelf(timezone.localdate())
    context = {
        "shelf": shelf,
        "lines": [(line, container(line, profile)) for line in shelf.lines],
        "bins": ScrapBin.objects.filled(),
        "any_materials": Material.objects.exists(),
        "may_stock": Right.CHANGE_STOCK in rights,
        "may_materials": Right.CHANGE_MATERIALS in rights,
    }
    return render_page(request, "materials/stock.html", context)
