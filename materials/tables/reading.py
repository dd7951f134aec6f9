"""A file that was sent, as rows of text; whatever is wrong with it is said in a sentence, and its size is bounded."""

import csv
import datetime
import io
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from materials.errors import FileRefused
from materials.tables.limits import (
    MOST_COLUMNS,
    MOST_FILE_BYTES,
    MOST_PARTS,
    MOST_RATIO,
    MOST_ROWS,
    MOST_SIGNS,
    MOST_UNPACKED_BYTES,
)

SEPARATORS = (";", "\t", ",")
UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
NOT_TEXT = (
    "This is neither an XLSX file nor text in UTF-8 or UTF-16. In the spreadsheet program choose “save as”, then CSV UTF-8 "
    "or XLSX, and send that file."
)
NOT_XLSX = "This XLSX file is damaged or locked with a password. Open it, save it anew without one, and send that file."
TOO_LARGE = f"The file is larger than {MOST_FILE_BYTES // 1_000_000} MB. Send its rows in several files."
TOO_MANY_ROWS = f"The table has more than {MOST_ROWS} rows. Send it in several files."
TOO_WIDE = f"The table has more than {MOST_COLUMNS} columns. Take off those that are not asked for, and send it again."
BLOATED = "Unpacked, this XLSX file is far larger than it looks, which no table of stock is. Save it as CSV and send that."
EMPTY = "There is no table in this file: a row of headings is wanted first, then a row for each thing."


@dataclass(frozen=True, slots=True)
class RawTable:
    """The headings and the rows below them, each with its number as a spreadsheet program counts."""

    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def read_table(content: bytes) -> RawTable:
    """Read a CSV or XLSX file by what is in it, whatever it is called."""
    if len(content) > MOST_FILE_BYTES:
        raise FileRefused(TOO_LARGE)
    found = _xlsx_rows(content) if content.startswith(b"PK\x03\x04") else _csv_rows(content)
    rows: list[tuple[int, tuple[str, ...]]] = []
    for number, cells in found:
        if len(cells) > MOST_COLUMNS:
            raise FileRefused(TOO_WIDE)
        if any(len(cell) > MOST_SIGNS for cell in cells):
            raise FileRefused(f"Row {number} has a cell of more than {MOST_SIGNS} signs. Shorten it, and send the file again.")
        if any(cells):
            rows.append((number, cells))
        if len(rows) > MOST_ROWS + 1:
            raise FileRefused(TOO_MANY_ROWS)
    if not rows:
        raise FileRefused(EMPTY)
    return RawTable(headings=rows[0][1], rows=tuple(rows[1:]))


def _csv_rows(content: bytes) -> Iterator[tuple[int, tuple[str, ...]]]:
    text = _decoded(content)
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=_separator(text), strict=True)
    try:
        for number, cells in enumerate(reader, start=1):
            # An empty end of every line is how some programs write a table.
            yield number, _trimmed(cell.strip() for cell in cells)
    except csv.Error:
        raise FileRefused(
            f"The text stops being a table near line {reader.line_num}: a quotation mark is opened and not closed, or a cell "
            "is endless. Save the table anew as CSV, and send that file."
        ) from None


def _decoded(content: bytes) -> str:
    coding = "utf-16" if content.startswith(UTF16_MARKS) else "utf-8-sig"
    try:
        text = content.decode(coding)
    except UnicodeDecodeError:
        raise FileRefused(NOT_TEXT) from None
    if "\0" in text:
        raise FileRefused(NOT_TEXT)
    return text


def _separator(text: str) -> str:
    """Take the separator that stands most often in the headings, outside of quotation marks."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    bare = "".join(part for at, part in enumerate(first.split('"')) if at % 2 == 0)
    return max(SEPARATORS, key=bare.count) if any(sign in bare for sign in SEPARATORS) else ","


def _xlsx_rows(content: bytes) -> Iterator[tuple[int, tuple[str, ...]]]:
    _refuse_bloated(content)
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
        try:
            sheet: Any = book.worksheets[0]
            # What the file says about its size may be a lie; the limits below count themselves.
            sheet.reset_dimensions()
            rows = sheet.iter_rows(max_row=4 * MOST_ROWS, max_col=MOST_COLUMNS + 1)
            for number, cells in enumerate(islice(rows, 4 * MOST_ROWS), start=1):
                yield number, _trimmed(_text(cell.value) for cell in cells)
        finally:
            book.close()
    except FileRefused:
        raise
    except Exception as trouble:
        # Its reader meets damage in a hundred ways, each with an error of its own.
        raise FileRefused(NOT_XLSX) from trouble


def _refuse_bloated(content: bytes) -> None:
    """Look at an archive's own list before anything of it is unpacked; what lies about its size stops at what it said."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        raise FileRefused(NOT_XLSX) from None
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED_BYTES or unpacked > MOST_RATIO * len(content):
        raise FileRefused(BLOATED)
    if any(part.flag_bits & 1 for part in parts) or "xl/workbook.xml" not in {part.filename for part in parts}:
        raise FileRefused(NOT_XLSX)


def _text(value: Any) -> str:
    """Write a cell as somebody would type it; a formula keeps its sign, by which it is refused later."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return f"{value:.10f}".rstrip("0").rstrip(".")
    return str(value).strip()


def _trimmed(cells: Iterable[str]) -> tuple[str, ...]:
    """Take off the empty cells at the end of a row."""
    found = list(cells)
    while found and not found[-1]:
        found.pop()
    return tuple(found)
