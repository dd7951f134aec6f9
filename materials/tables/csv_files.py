"""Tables as CSV files: a short one whole, one of the stock in pieces, sent while it is read."""

import csv
from collections.abc import Iterable, Iterator, Sequence

from materials.tables.cells import Cell, written
from materials.tables.leaving import Table, columns_of, rows_of
from studio.web.downloads import download_headers

# Spreadsheet programs read UTF-8 only where this mark says so.
BYTE_ORDER_MARK = "\ufeff"
LINES_A_PIECE = 500


def csv_headers(name: str) -> dict[str, str]:
    """Return the headers of a table that is sent under a name."""
    return download_headers(f"{name}.csv", "text/csv; charset=utf-8")


class _Echo:
    """A file that hands back what is written to it."""

    def write(self, text: str) -> str:
        return text


def csv_pieces(table: Table, *, sees_money: bool) -> Iterator[bytes]:
    """Return the file in pieces of some hundred lines."""
    columns = columns_of(table, sees_money=sees_money)
    return _pieces([column.heading for column in columns], rows_of(table, columns))


def csv_file(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Return a short table as a whole file."""
    return b"".join(_pieces(headings, rows))


def _pieces(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[bytes]:
    writer = csv.writer(_Echo())
    piece = [BYTE_ORDER_MARK, writer.writerow(headings)]
    for row in rows:
        piece.append(writer.writerow([written(cell) for cell in row]))
        if len(piece) >= LINES_A_PIECE:
            yield "".join(map(str, piece)).encode()
            piece = []
    yield "".join(map(str, piece)).encode()
