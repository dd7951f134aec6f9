"""Which tables can be taken out, and how each row is read; an app further up registers its own."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from materials.tables.cells import Cell

CHUNK_ROWS = 2000


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, the path of its value, and whether only those who see money see it."""

    heading: str
    path: str
    money: bool = False
    labels: Mapping[Any, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table that can be taken out."""

    key: str
    name: str
    says: str
    columns: Sequence[Column]
    rows: "Callable[[], QuerySet[Any]]"


_tables: dict[str, Table] = {}


def register(table: Table) -> None:
    """Make a table known; called from an app's `ready()`."""
    _tables[table.key] = table


def tables() -> dict[str, Table]:
    """Return all tables by key."""
    return dict(_tables)


def columns_of(table: Table, *, sees_money: bool) -> list[Column]:
    """Return the columns that somebody may see."""
    return [column for column in table.columns if sees_money or not column.money]


def rows_of(table: Table, columns: Sequence[Column], *, most: int | None = None) -> Iterator[list[Cell]]:
    """Read the rows a few thousand at a time, so that a ledger of a million lines takes no more memory than a small one.

    Moments are shown in the zone that holds where this is called: what is streamed is read after the request's own has ended.
    """
    zone = timezone.get_current_timezone()
    labels = [column.labels for column in columns]
    found = table.rows().values_list(*(column.path for column in columns))
    rows = (found if most is None else found[:most]).iterator(chunk_size=CHUNK_ROWS)
    return (
        [_cell(value if words is None else words.get(value, value), zone) for value, words in zip(row, labels, strict=True)]
        for row in rows
    )


def _cell(value: Any, zone: Any) -> Cell:
    """Show moments in the studio's own time, without a zone that spreadsheets do not know."""
    if hasattr(value, "tzinfo") and value.tzinfo is not None:
        moment: Cell = value.astimezone(zone).replace(tzinfo=None, microsecond=0)
        return moment
    cell: Cell = value
    return cell
