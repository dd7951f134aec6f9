"""Everything as one XLSX file, made by the worker because a large one takes a while."""

import datetime
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils import timezone

from materials.tables.cells import Cell, shapely
from materials.tables.leaving import Table, columns_of, rows_of, tables
from studio.documents.claims import report_step
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of

XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# A sheet takes a million lines, a person's program hardly so many; the CSV file has them all.
MOST_ROWS = 100_000
MORE = "There are more lines than these; the CSV file of this table holds all of them."
STEP_ROWS = 5000
# Longer texts do not fit into a cell (published: the format's own limit is 32,767 signs).
MOST_SIGNS = 32_000


def render_stock_book(document: Document) -> RenderedFile:
    """Write all tables without costs and prices."""
    return _rendered(document, sees_money=False)


def render_stock_book_with_money(document: Document) -> RenderedFile:
    """Write all tables with costs and prices."""
    return _rendered(document, sees_money=True)


def _rendered(document: Document, *, sees_money: bool) -> RenderedFile:
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        content = stock_book(list(tables().values()), sees_money=sees_money, document=document)
        name = f"stock-{timezone.localdate().isoformat()}.xlsx"
    return RenderedFile(content=content, content_type=XLSX_TYPE, filename=name)


def stock_book(
    wanted: Sequence[Table], *, sees_money: bool, document: Document | None = None, most_rows: int = MOST_ROWS
) -> bytes:
    """Return a workbook with a sheet for each table, written row by row."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    for table in wanted:
        sheet = book.create_sheet(table.name[:31])
        columns = columns_of(table, sees_money=sees_money)
        sheet.append([_typed(sheet, column.heading) for column in columns])
        at = 0
        for at, row in enumerate(rows_of(table, columns, most=most_rows + 1), start=1):
            if at > most_rows:
                sheet.append([_typed(sheet, MORE)])
                break
            sheet.append([_typed(sheet, cell) for cell in row])
            if document is not None and at % STEP_ROWS == 0:
                report_step(document, f"{table.name}, line {at}")
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _typed(sheet: Any, cell: Cell) -> Any:
    """Give a cell the type it has; a text is a text whatever it begins with."""
    from openpyxl.cell import WriteOnlyCell

    if isinstance(cell, bool):
        cell = "yes" if cell else "no"
    if isinstance(cell, str):
        made = WriteOnlyCell(sheet, value=shapely(cell)[:MOST_SIGNS])
        made.data_type = "s"
        return made
    if isinstance(cell, int | float | Decimal | datetime.date):
        return cell
    return None
