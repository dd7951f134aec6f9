"""Sheets of labels by their measures, in mm: how many, how large, where the first one stands, and how far to the next."""

from dataclasses import dataclass

A4_MM = (210.0, 297.0)
LETTER_MM = (215.9, 279.4)
IN = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A grid of labels on a page; a label printer's page is one label."""

    key: str
    page: str
    page_mm: tuple[float, float]
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float = 0.0
    top_mm: float = 0.0
    across_mm: float = 0.0
    down_mm: float = 0.0
    inches: str = ""

    @property
    def size(self) -> str:
        """The measure of one label, in both units: sheets are sold by the one here and by the other there."""
        inches = self.inches or f"{self.width_mm / IN:.2f} × {self.height_mm / IN:.2f}"
        return f"{round(self.width_mm, 1):g} × {round(self.height_mm, 1):g} mm ({inches} in)"

    @property
    def name(self) -> str:
        """The name in measures: "24 on A4, each 70 × 37 mm (2.76 × 1.46 in)"."""
        return f"label printer, {self.size}" if self.many == 1 else f"{self.many} on {self.page}, each {self.size}"

    @property
    def many(self) -> int:
        """How many labels are on a page."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Return where a label's upper left corner is; places count along the rows from nought."""
        row, column = divmod(place, self.columns)
        return self.left_mm + column * self.across_mm, self.top_mm + row * self.down_mm


def _grid(
    key: str,
    page: str,
    columns: int,
    rows: int,
    size: tuple[float, float],
    first: tuple[float, float],
    step: tuple[float, float],
    inches: str = "",
) -> LabelSheet:
    return LabelSheet(
        key=key, page=page, page_mm=A4_MM if page == "A4" else LETTER_MM, columns=columns, rows=rows,
        width_mm=size[0], height_mm=size[1], left_mm=first[0], top_mm=first[1], across_mm=step[0], down_mm=step[1],
        inches=inches,
    )  # fmt: skip


# Common grids, from memory: whoever prints checks one page on plain paper against the sheet, and shifts it where it is off.
_ALL = (
    _grid("a4-24", "A4", 3, 8, (70, 37), (0, 0.5), (70, 37)),
    _grid("a4-21", "A4", 3, 7, (63.5, 38.1), (7.25, 15.15), (66, 38.1)),
    _grid("a4-14", "A4", 2, 7, (99.1, 38.1), (4.65, 15.15), (101.6, 38.1)),
    _grid("a4-8", "A4", 2, 4, (99.1, 67.7), (4.65, 13.1), (101.6, 67.7)),
    _grid("a4-40", "A4", 4, 10, (52.5, 29.7), (0, 0), (52.5, 29.7)),
    _grid("letter-30", "Letter", 3, 10, (66.675, 25.4), (4.7625, 12.7), (69.85, 25.4), "2⅝ × 1"),
    _grid("letter-20", "Letter", 2, 10, (101.6, 25.4), (3.96875, 12.7), (106.3625, 25.4), "4 × 1"),
    _grid("letter-10", "Letter", 2, 5, (101.6, 50.8), (3.96875, 12.7), (106.3625, 50.8), "4 × 2"),
    _grid("letter-6", "Letter", 2, 3, (101.6, 84.6667), (3.96875, 12.7), (106.3625, 84.6667), "4 × 3⅓"),
    LabelSheet(key="roll-62x29", page="62x29", page_mm=(62, 29), columns=1, rows=1, width_mm=62, height_mm=29),
    LabelSheet(
        key="roll-4x6", page="4x6", page_mm=(4 * IN, 6 * IN), columns=1, rows=1, width_mm=4 * IN, height_mm=6 * IN, inches="4 × 6"
    ),
)
SHEETS: dict[str, LabelSheet] = {sheet.key: sheet for sheet in _ALL}
