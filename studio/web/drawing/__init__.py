"""Drawings made on the server: SVG without scripts or styles, with a title, a description and plain greys for prints.

    section_drawing(points=outline.points, closed=False, coats=[("Print coat", 1.0), ("Build coat 1", 1.5)], title="Finial")
    cure_strip([Stretch(label="Print coat", start_min=0, hands_min=35, wait_min=120, latest_min=240)], title="Coats")
    plane_section(SectionSheet(piece=[loop], coats=[("Print coat", 1.0, [loop])], box=(-40, 40, 0, 90)), title="Front")
    week_sheets(DaysPlan(work=[...], ...), first=monday, days=7)
    bars([Bar(label="Rubber", value=120, low=100, high=150)], unit="money", title="Spend")

Each returns safe markup for a `<figure class="plate">`, the days ahead a list of sheets. The same figures stand in a table on
the page, for those who cannot see the drawing. Colours come from classes on screen; presentation attributes serve prints,
where no classes reach.
"""

from studio.web.drawing.bars import Bar, bars
from studio.web.drawing.canvas import Canvas, dimension, scale_bar
from studio.web.drawing.days import day_sheet, week_sheets
from studio.web.drawing.days_key import days_key
from studio.web.drawing.days_values import Band, DaysPlan, PieceRow, Work
from studio.web.drawing.hatching import Hatch, hatch
from studio.web.drawing.plane_section import (
    SectionSheet,
    plane_section,
    plane_section_to_scale,
    scale_words,
    section_key,
    sheet_scale,
)
from studio.web.drawing.section import section_drawing
from studio.web.drawing.strip import Stretch, cure_strip

__all__ = [
    "Band",
    "Bar",
    "Canvas",
    "DaysPlan",
    "Hatch",
    "PieceRow",
    "SectionSheet",
    "Stretch",
    "Work",
    "bars",
    "cure_strip",
    "day_sheet",
    "days_key",
    "dimension",
    "hatch",
    "plane_section",
    "plane_section_to_scale",
    "scale_bar",
    "scale_words",
    "section_drawing",
    "section_key",
    "sheet_scale",
    "week_sheets",
]
