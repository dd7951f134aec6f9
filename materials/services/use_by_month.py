"""How much of a material was used in each month: two looks at the books for each month, however many lines there are."""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Subquery

from materials.models import Material, StockBook
from materials.services.stock_value import last_line_of

MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthOfUse:
    """One month from its first day; what came back is taken off. `whole` is false for the month that runs."""

    first_on: datetime.date
    used_g: Decimal
    cost: Decimal
    whole: bool


def use_by_month(*, material: Material, today: datetime.date, months: int = MONTHS) -> list[MonthOfUse]:
    """Return the last months, the oldest first and the running one last, in one query."""
    firsts = [_month_back(today, back) for back in range(months - 1, -1, -1)]
    edges = [first - datetime.timedelta(days=1) for first in firsts]
    looks: dict[str, Subquery] = {}
    for number, edge in enumerate(edges):
        looks[f"mass_{number}"] = last_line_of(edge, "book_used_g")
        looks[f"cost_{number}"] = last_line_of(edge, "book_used_value")
    books = list(StockBook.objects.filter(material=material).annotate(**looks))
    masses = [sum((getattr(book, f"mass_{n}") or Decimal(0) for book in books), Decimal(0)) for n in range(months)]
    costs = [sum((getattr(book, f"cost_{n}") or Decimal(0) for book in books), Decimal(0)) for n in range(months)]
    masses.append(sum((book.used_g for book in books), Decimal(0)))
    costs.append(sum((book.used_value for book in books), Decimal(0)))
    return [
        MonthOfUse(first_on=first, used_g=masses[n + 1] - masses[n], cost=costs[n + 1] - costs[n], whole=n < months - 1)
        for n, first in enumerate(firsts)
    ]


def _month_back(today: datetime.date, back: int) -> datetime.date:
    year, month = divmod(today.year * 12 + today.month - 1 - back, 12)
    return datetime.date(year, month + 1, 1)
