"""Cells that stay what they are in any program that opens them.

A cell that begins like a formula is run as one by spreadsheet programs, whoever typed it. Text that does gets an apostrophe
before it, which those programs read as "this is text"; numbers stay numbers.
"""

import datetime
import re
from decimal import Decimal

Cell = str | int | float | Decimal | bool | datetime.date | datetime.datetime | None

# Common practice: the signs that spreadsheet programs take for the beginning of a formula, the wide ones of East Asian
# keyboards too.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
# Signs that no cell can hold, and halves of signs that no file can.
_SHAPELESS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


def safe_text(text: str) -> str:
    """Return a text that no program takes for a formula, also after it has trimmed it."""
    clean = shapely(text)
    return f"'{clean}" if clean.startswith(FORMULA_STARTS) or clean.lstrip().startswith(FORMULA_STARTS) else clean


def shapely(text: str) -> str:
    """Return a text without signs that no cell can hold."""
    return _SHAPELESS.sub("", text)


def plain_text(text: str) -> str:
    """Return what was there before `safe_text`, so that a table that was taken out can be read in again."""
    return text[1:] if text.startswith("'") and text[1:].lstrip().startswith(FORMULA_STARTS) else text


def written(cell: Cell) -> str:
    """Write a cell for a CSV file: numbers with a point and no sign for thousands, days as year-month-day."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime.datetime):
        return cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, datetime.date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return safe_text(cell) if isinstance(cell, str) else str(cell)
