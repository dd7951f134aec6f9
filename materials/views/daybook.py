"""The day book of a lot, a bin or a material: some of the ledger's lines, from a line on, and the way to newer and older ones.

Pages begin at a line and not at a number: finding the thousandth page costs no more than the first, and lines written
meanwhile push nothing from one page to the next.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from materials.models import Movement

LINES_A_PAGE = 40
LARGEST_PK = 2**63 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class BookPage:
    """Lines, the newest first; `older` and `newer` are the lines to go on from, nothing where none follow."""

    lines: tuple[Movement, ...]
    older: int | None = None
    newer: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BookLine:
    """One line; `balance_g` is what was on hand after it, `undone` and `may_undo` say what became of it."""

    movement: Movement
    balance_g: Decimal | None
    undone: bool
    may_undo: bool


def book_page(lines: "QuerySet[Movement]", asked: Mapping[str, str]) -> BookPage:
    """Return the lines before or after the one that was asked for; nonsense gets the newest."""
    before, after = _line_asked(asked.get("before")), _line_asked(asked.get("after"))
    if after is not None:
        some = list(lines.filter(pk__gt=after).order_by("pk")[: LINES_A_PAGE + 1])
        newer, found = len(some) > LINES_A_PAGE, some[:LINES_A_PAGE][::-1]
        if found:
            return BookPage(lines=tuple(found), older=found[-1].pk, newer=found[0].pk if newer else None)
        before = None
    some = list((lines if before is None else lines.filter(pk__lt=before)).order_by("-pk")[: LINES_A_PAGE + 1])
    found = some[:LINES_A_PAGE]
    if before is not None and not found:
        return book_page(lines, {})
    return BookPage(
        lines=tuple(found),
        older=found[-1].pk if len(some) > LINES_A_PAGE else None,
        newer=found[0].pk if before is not None and found else None,
    )


def _line_asked(typed: str | None) -> int | None:
    if not typed or not (typed.isascii() and typed.isdigit()) or len(typed) > 19:
        return None
    number = int(typed)
    return number if number <= LARGEST_PK else None


def book_lines(page: BookPage, *, may_stock: bool) -> list[BookLine]:
    """Return the lines of a page without balances: a material's lines are those of many lots."""
    return [_line(movement, None, may_stock=may_stock) for movement in page.lines]


def balanced_lines(page: BookPage, *, may_stock: bool) -> list[BookLine]:
    """Return the lines of one lot's or bin's page, each with the balance after it."""
    return [_line(movement, movement.left_g, may_stock=may_stock) for movement in page.lines]


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
