"""Pages of labels as drawings in mm; the preview on the screen and the print are the same drawing."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from materials.errors import LabelTooSmall, verbatim
from materials.labels.fitting import SetLine, Words, fit
from materials.labels.kinds import Label
from materials.labels.sheets import LabelSheet

# The margin of white around a code; standard: ISO/IEC 18004, four modules.
QUIET_MODULES = 4
PAD_MM = 1.8
GAP_MM = 1.2
LARGEST_CODE_MM = 60.0
ERROR_LEVEL = "m"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be printed, and how."""

    labels: Sequence[Label]
    sheet: LabelSheet
    facts: Collection[str]
    start: int = 1
    copies: int = 1
    right_mm: float = 0.0
    down_mm: float = 0.0


def pages(wanted: Wanted, *, outlines: bool) -> list[SafeString]:
    """Return each page as a drawing; `outlines` shows where the labels' edges are, for the screen."""
    sheet = wanted.sheet
    every = [label for label in wanted.labels for _ in range(wanted.copies)]
    first = wanted.start - 1
    drawn = []
    for page in range(-(-(first + len(every)) // sheet.many)):
        begin = page * sheet.many
        cells: list[SafeString] = []
        for place in range(sheet.many):
            at = begin + place - first
            label = every[at] if 0 <= at < len(every) else None
            x, y = sheet.corner_mm(place)
            cells.append(_cell(label, sheet, wanted, (x, y), outlines=outlines))
        drawn.append(_page(sheet, cells, page + 1))
    return drawn


def _page(sheet: LabelSheet, cells: Sequence[SafeString], number: int) -> SafeString:
    width, height = sheet.page_mm
    return format_html(
        '<svg class="label-page" xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" '
        'role="img" aria-label="page {n} of labels">{cells}</svg>',
        w=_mm(width),
        h=_mm(height),
        n=number,
        cells=mark_safe("".join(cells)),  # noqa: S308 - made of escaped parts
    )


def _cell(label: Label | None, sheet: LabelSheet, wanted: Wanted, corner: tuple[float, float], *, outlines: bool) -> SafeString:
    x, y = corner
    edge = (
        format_html(
            '<rect x="{}" y="{}" width="{}" height="{}" rx="1" fill="#fff" stroke="#999" stroke-width="0.2" />',
            _mm(x), _mm(y), _mm(sheet.width_mm), _mm(sheet.height_mm),
        )
        if outlines
        else SafeString("")
    )  # fmt: skip
    if label is None:
        return edge
    return edge + _label(label, sheet, wanted.facts, x + wanted.right_mm, y + wanted.down_mm)


def _label(label: Label, sheet: LabelSheet, facts: Collection[str], x: float, y: float) -> SafeString:
    width, height = sheet.width_mm, sheet.height_mm
    stacked = height > width
    side = min(height - 2 * PAD_MM, 0.45 * width, LARGEST_CODE_MM) if not stacked else min(width - 2 * PAD_MM, LARGEST_CODE_MM)
    code_x = x + PAD_MM
    code_y = y + PAD_MM if stacked else y + (height - side) / 2
    if stacked:
        text_x, text_y = x + PAD_MM, code_y + side + GAP_MM
        room = (width - 2 * PAD_MM, y + height - PAD_MM - text_y)
    else:
        text_x, text_y = code_x + side + GAP_MM, y + PAD_MM
        room = (x + width - PAD_MM - text_x, height - 2 * PAD_MM)
    lines = fit(words_of(label, facts), width_mm=room[0], height_mm=room[1])
    if lines is None:
        raise LabelTooSmall(
            f"“{verbatim(label.name)}” does not fit on a label of {sheet.size} with all that is chosen. "
            "Choose a larger label, or leave something off."
        )
    return _code(label.code.address, code_x, code_y, side) + _text(lines, text_x, text_y)


def words_of(label: Label, facts: Collection[str]) -> list[Words]:
    """Return what stands on a label, the name first and the code as a person reads it last."""
    chosen = [Words(str(getattr(label, fact))) for fact in ("lot", "expiry", "pair", "place", "safety") if fact in facts]
    return [Words(label.name, bold=True), *(words for words in chosen if words.text.strip()), Words(label.code.said)]


def _text(lines: Sequence[SetLine], x: float, y: float) -> SafeString:
    return format_html_join(
        "",
        '<text x="{}" y="{}" font-size="{}" font-weight="{}" font-family="Source Sans 3, sans-serif" fill="#000">{}</text>',
        ((_mm(x), _mm(y + line.baseline_mm), _mm(line.size_mm), 600 if line.bold else 400, line.text) for line in lines),
    )


def _code(address: str, x: float, y: float, side: float) -> SafeString:
    import segno

    modules = [bytes(row) for row in segno.make(address, error=ERROR_LEVEL, micro=False).matrix]
    whole = len(modules) + 2 * QUIET_MODULES
    path = "".join(
        f"M{start + QUIET_MODULES} {row + QUIET_MODULES}h{length}v1h-{length}z"
        for row, line in enumerate(modules)
        for start, length in _runs(line)
    )
    return format_html(
        '<g transform="translate({} {}) scale({})"><rect width="{w}" height="{w}" fill="#fff" />'
        '<path d="{}" fill="#000" shape-rendering="crispEdges" /></g>',
        _mm(x), _mm(y), f"{side / whole:.6f}", path, w=whole,
    )  # fmt: skip


def _runs(line: bytes) -> Iterator[tuple[int, int]]:
    """Yield where dark modules begin in a row, and how many follow each other."""
    start = None
    for at, dark in enumerate(line + b"\0"):
        if dark and start is None:
            start = at
        elif not dark and start is not None:
            yield start, at - start
            start = None


def _mm(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")
