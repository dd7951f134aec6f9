"""Whether the books of stock are what their lines and layers add up to."""

from decimal import Decimal
from typing import Any

from django.db.models import Sum

from materials.ledger.masses import rounded
from materials.models import CostLayer, Material, Movement, StockBook
from materials.valuing.money import money


def unbalanced_books() -> list[StockBook]:
    """Return every book that is not what its lines add up to, or whose layers are not; empty when the books are right."""
    lines = _sums(Movement.objects.filter(book__isnull=False))
    layers = _sums(CostLayer.objects.all())
    nothing = (Decimal(0), Decimal(0))
    found = []
    for book in StockBook.objects.all():
        stands = (book.on_hand_g, book.value)
        laid = stands if book.method == Material.CostMethod.FIFO else nothing
        if lines.get(book.pk, nothing) != stands or layers.get(book.pk, nothing) != laid:
            found.append(book)
    return found


def _sums(rows: Any) -> dict[int, tuple[Decimal, Decimal]]:
    totals = rows.order_by().values_list("book").annotate(mass=Sum("mass_g"), value=Sum("value"))
    return {book: (rounded(mass), money(value)) for book, mass, value in totals}
