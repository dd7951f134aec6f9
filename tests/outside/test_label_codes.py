"""Codes on labels, read back by a reader of its own, and where they lie on the page."""

import re

import pytest

from materials.codes import Code
from materials.labels.drawing import PAD_MM, QUIET_MODULES, Wanted, pages
from materials.labels.kinds import Label
from materials.labels.sheets import SHEETS
from tests.outside.qr_reader import read

CELL = re.compile(r'<g transform="translate\(([\d.]+) ([\d.]+)\) scale\(([\d.]+)\)"><rect width="(\d+)".*?<path d="([^"]+)"')


def grids(drawing: str) -> list[tuple[float, float, float, list[list[bool]]]]:
    """Return each code of a drawn page: its corner, its side in mm, and its modules without the margin."""
    found = []
    for x, y, scale, whole, path in CELL.findall(drawing):
        size = int(whole)
        grid = [[False] * size for _ in range(size)]
        for start, row, length, _back in re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", path):
            for column in range(int(start), int(start) + int(length)):
                grid[int(row)][column] = True
        edge = [*grid[:QUIET_MODULES], *grid[-QUIET_MODULES:], *([row[:QUIET_MODULES], row[-QUIET_MODULES:]] for row in grid)]
        assert not any(any(any(part) if isinstance(part, list) else part for part in row) for row in edge)
        inner = [row[QUIET_MODULES:-QUIET_MODULES] for row in grid[QUIET_MODULES:-QUIET_MODULES]]
        found.append((float(x), float(y), float(scale) * size, inner))
    return found


def page(sheet: str, *pks: int, **fields) -> str:
    labels = [Label(code=Code("l", pk), name="Rubber") for pk in pks]
    return str(pages(Wanted(labels=labels, sheet=SHEETS[sheet], facts=(), **fields), outlines=True)[0])


class TestCode:
    @pytest.mark.parametrize(
        "studio", ["http://127.0.0.1:8000", "https://a.example", "https://studio.harbour-road-casting-and-molds.example:8443"]
    )
    def test_says_the_address_of_the_thing_and_nothing_else(self, settings, studio: str) -> None:
        settings.PUBLIC_URL = studio
        read_back = [read(grid) for *_place, grid in grids(page("a4-21", 7, 12, 999_999_999))]
        # Standard: ISO/IEC 18004 level M or better, byte mode; versions 2 to 6 by the length of the address.
        assert read_back == [f"{studio}/c/l7", f"{studio}/c/l12", f"{studio}/c/l999999999"]

    def test_is_not_read_when_one_module_is_wrong(self) -> None:
        grid = grids(page("a4-21", 7))[0][3]
        assert read(grid).endswith("/c/l7")
        grid[12][12] = not grid[12][12]
        with pytest.raises(ValueError, match="check words"):
            read(grid)


class TestPlaces:
    @pytest.mark.parametrize("key", list(SHEETS))
    def test_lie_within_the_labels_of_the_declared_grid(self, key: str) -> None:
        sheet = SHEETS[key]
        found = grids(page(key, *range(1, sheet.many + 1)))
        assert len(found) == sheet.many
        width, height = sheet.page_mm
        for place, (x, y, side, _grid) in enumerate(found):
            row, column = divmod(place, sheet.columns)
            left = sheet.left_mm + column * sheet.across_mm
            top = sheet.top_mm + row * sheet.down_mm
            assert left + PAD_MM - 0.01 <= x
            assert x + side <= left + sheet.width_mm - PAD_MM + 0.01
            assert top + PAD_MM - 0.01 <= y
            assert y + side <= top + sheet.height_mm - PAD_MM + 0.01
            assert left + sheet.width_mm <= width + 0.01
            assert top + sheet.height_mm <= height + 0.01
            # Common practice, no source: a phone reads modules from a third of a millimetre on.
            assert side / (len(_grid) + 2 * QUIET_MODULES) >= 0.33

    def test_begin_at_the_label_that_is_free(self) -> None:
        sheet = SHEETS["a4-24"]
        (x, y, *_rest), *others = grids(page("a4-24", 1, start=5))
        assert others == []
        assert (x // sheet.width_mm, (y - sheet.top_mm) // sheet.height_mm) == (1, 1)
        (shifted_x, shifted_y, *_rest), *_ = grids(page("a4-24", 1, start=5, right_mm=-1.5, down_mm=2))
        assert (round(shifted_x - x, 6), round(shifted_y - y, 6)) == (-1.5, 2)
