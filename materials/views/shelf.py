"""The shelf: what is there, what is promised, and what wants looking at."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from materials.models import Material, ScrapBin
from materials.services.expected import still_expected
from materials.services.shelf import look_at_shelf
from materials.views.expected import MOST_ON_THE_SHELF_PAGE, expected_lines
from materials.views.shelf_drawing import container, shelf_key
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page


@require_safe
@needs(Right.SEE_STOCK)
def stock_show(request: HttpRequest) -> HttpResponse:
    """Show what stands on the shelf."""
    rights, profile = account_of(request).rights(), current_profile()
    today = timezone.localdate()
    shelf = look_at_shelf(today)
    coming = list(still_expected()[: MOST_ON_THE_SHELF_PAGE + 1])
    context = {
        "shelf": shelf,
        "lines": [(line, container(line, profile)) for line in shelf.lines],
        "key": shelf_key(),
        "expected": expected_lines(coming[:MOST_ON_THE_SHELF_PAGE], today),
        "more_expected": len(coming) > MOST_ON_THE_SHELF_PAGE,
        "bins": ScrapBin.objects.filled(),
        "any_materials": Material.objects.exists(),
        "sees_money": Right.SEE_MONEY in rights,
        "may_stock": Right.CHANGE_STOCK in rights,
        "may_materials": Right.CHANGE_MATERIALS in rights,
    }
    return render_page(request, "materials/stock.html", context)
