"""The buying list on paper, with prices and without."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.services.buying import BuyLine, buying_list
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of

BUYING_KIND = "buying-list"
BUYING_WITH_MONEY_KIND = "buying-list-money"
Groups = Sequence[tuple[str, list[BuyLine]]]


def render_buying_list(_document: Document) -> RenderedFile:
    """Lay out the list without prices."""
    return _rendered(sees_money=False)


def render_buying_list_with_money(_document: Document) -> RenderedFile:
    """Lay out the list with prices."""
    return _rendered(sees_money=True)


def list_context(groups: Groups, *, sees_money: bool) -> dict[str, Any]:
    """Return what the page and the print of the list show."""
    priced = [(supplier, lines, sum((line.price for line in lines), Decimal(0))) for supplier, lines in groups]
    return {
        "groups": priced if sees_money else [(supplier, lines, None) for supplier, lines, _ in priced],
        "total": sum((price for _, _, price in priced), Decimal(0)) if sees_money else None,
        "sees_money": sees_money,
        "count": sum(len(lines) for _, lines, _ in priced),
    }


def _rendered(*, sees_money: bool) -> RenderedFile:
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        today = timezone.localdate()
        context = {
            **list_context(buying_list(today), sees_money=sees_money),
            "profile": profile,
            "facts": [("Reckoned on", today)],
        }
        content = render_pdf("print/buying_list.html", context, paper=profile.paper)
    return RenderedFile(content=content, content_type="application/pdf", filename=f"buying-{today.isoformat()}.pdf")
