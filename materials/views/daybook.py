"""The day book of a lot, a bin or a material: a page of the ledger's lines with the balance after each."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet, Sum

from materials.models import Movement

LINES_A_PAGE = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class BookLine:
    """One line; `balance_g` is what was on hand after it, `undone` and `may_undo` say what became of it."""

    movement: Movement
    balance_g: Decimal | None
    undone: bool
    may_undo: bool


def book_page(lines: "QuerySet[Movement]", asked: str) -> Page[Any]:
    """Return the page of the day book that was asked for; nonsense gets the first or the last."""
    return Paginator(lines, LINES_A_PAGE).get_page(asked)


def book_lines(page: Page[Any], *, may_stock: bool) -> list[BookLine]:
    """Return the lines of a page without balances: a material's lines are those of many lots."""
    return [_line(movement, None, may_stock=may_stock) for movement in page]


def balanced_lines(page: Page[Any], *, on_hand_g: Decimal, may_stock: bool) -> list[BookLine]:
    """Return the lines of one lot's page, each with the balance after it, counted back from what is on hand."""
    balance, lines = on_hand_g - _newer(page), []
    for movement in page:
        lines.append(_line(movement, balance, may_stock=may_stock))
        balance -= movement.mass_g
    return lines


def _newer(page: Page[Any]) -> Decimal:
    """Add up what the newer pages moved."""
    if page.number == 1 or not page.object_list:
        return Decimal(0)
    first = next(iter(page))
    newer: Any = page.paginator.object_list
    total = newer.filter(pk__gt=first.pk).aggregate(total=Sum("mass_g"))["total"]
    return (total or Decimal(0)).quantize(Decimal("0.001"))


def _line(movement: Movement, balance: Decimal | None, *, may_stock: bool) -> BookLine:
    return BookLine(
        movement=movement,
        balance_g=balance,
        undone=_is_undone(movement),
        may_undo=may_stock and may_undo(movement),
    )


def may_undo(movement: Movement) -> bool:
    """Say whether a line can be undone at all: it undoes none itself and was not undone before."""
    return movement.kind != Movement.Kind.REVERSE and not _is_undone(movement)


def _is_undone(movement: Movement) -> bool:
    try:
        return movement.reversed_by is not None
    except Movement.DoesNotExist:
        return False
