"""A mold cut by a plane: piece, coats, fill, chunks, shell and board in their places and to scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas, Point, dimension, scale_bar
from studio.web.drawing.hatching import Hatch
from studio.web.drawing.section import TINTS, WIDTH, wall_strip
from studio.web.quantities import show

if TYPE_CHECKING:
    from studio.models import StudioProfile

Loops = Sequence[Sequence[Point]]
Box = tuple[float, float, float, float]

LEFT, TOP, RIGHT = 84.0, 14.0, 14.0
# On paper every millimetre counts towards the next larger scale.
PAPER_LEFT = 72.0
TALLEST = 360.0
# Units of a sheet to one millimetre of paper, as browsers and the press count them.
PX_PER_MM = 96 / 25.4
# Scales of drawings (published: ISO 5455), reductions first.
SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
KEY_ROW, KEY_COLUMN = 24.0, 206.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSheet:
    """What is drawn, in mm: loops of (across, up) whose holes run the other way round.

    `coats` are (label, thickness mm, all that lies within) from the piece outward; `filled` is all within the filled outside,
    `shell` all within the shell. `box` is (least across, greatest, least up, greatest) of it all; `board_v` where the board
    lies, None for none; `leaning` says that up runs along a plane that is not upright. `filled_words` and `shell_words` name
    what is filled and what lies outside where those are no fill and no shell.
    """

    piece: Loops
    coats: Sequence[tuple[str, float, Loops]] = ()
    filled: Loops = ()
    shell: Loops = ()
    chunks: Loops = ()
    board_v: float | None = None
    box: Box
    shell_hatch: Hatch = Hatch.LAMINATE
    leaning: bool = False
    filled_words: str = "fill"
    shell_words: str = ""


def plane_section(sheet: SectionSheet, *, title: str, profile: "StudioProfile | None" = None) -> SafeString:
    """Draw a section as large as a page's column takes, with its key and the wall enlarged."""
    profile = profile or current_profile()
    frame = _Frame(sheet, room=(WIDTH - LEFT - RIGHT, TALLEST))
    wall = sum(thickness for _, thickness, _ in sheet.coats)
    key_top = frame.bottom + 84
    wall_top = key_top + KEY_ROW * ((len(_key(sheet)) + 1) // 2) + 34
    height = wall_top + 76 if wall > 0 else wall_top - 28
    canvas = Canvas(width=WIDTH, height=height, title=title, description=_words(sheet, profile))
    _draw(canvas, frame, sheet, profile)
    _draw_key(canvas, _key(sheet), top=key_top)
    if wall > 0:
        wall_strip(canvas, wall_top, [(label, thickness) for label, thickness, _ in sheet.coats], profile)
    return canvas.svg()


def plane_section_to_scale(
    sheet: SectionSheet, *, title: str, ratio: float, profile: "StudioProfile | None" = None
) -> SafeString:
    """Draw a section for paper, `ratio` times smaller than the mold; the press and browsers print it at that size."""
    profile = profile or current_profile()
    frame = _Frame(sheet, px_per_mm=PX_PER_MM / ratio)
    canvas = Canvas(
        width=frame.right_edge + RIGHT, height=frame.bottom + 72, title=title, description=_words(sheet, profile), true_size=True
    )
    _draw(canvas, frame, sheet, profile)
    return canvas.svg()


def sheet_scale(boxes: Sequence[Box], *, room_mm: tuple[float, float]) -> float | None:
    """Return the largest scale in use at which each of some boxes, with its dimension lines, fits a room on paper."""
    extra = ((PAPER_LEFT + RIGHT) / PX_PER_MM, (TOP + 72 + 30) / PX_PER_MM)
    wide, high = (max((box[end] - box[end - 1] for box in boxes), default=0.0) for end in (1, 3))
    return next(
        (ratio for ratio in SCALES if wide / ratio + extra[0] <= room_mm[0] and high / ratio + extra[1] <= room_mm[1]), None
    )


def scale_words(ratio: float) -> str:
    """Say a scale as on a drawing: “1:5”."""
    return f"1:{ratio:g}"


def section_key(sheet: SectionSheet) -> SafeString:
    """Draw what each pattern means, alone: for a page of several sections."""
    rows = _key(sheet)
    said = ", ".join(words for words, _ in rows)
    canvas = Canvas(
        width=KEY_COLUMN * 3, height=KEY_ROW * ((len(rows) + 2) // 3) + 8, title="Key", description=said, true_size=True
    )
    _draw_key(canvas, rows, top=6, columns=3)
    return canvas.svg()


class _Frame:
    """Where a place in the plane lies on the sheet; its scale either fits a room or is given."""

    def __init__(self, sheet: SectionSheet, *, room: Point | None = None, px_per_mm: float = 0.0) -> None:
        self.left, self.right, self.low, self.high = sheet.box
        if sheet.board_v is not None:
            self.low = min(self.low, sheet.board_v)
        wide, high = max(self.right - self.left, 1e-6), max(self.high - self.low, 1e-6)
        self.scale = px_per_mm if room is None else min(room[0] / wide, room[1] / high)
        self.left_edge = PAPER_LEFT if room is None else LEFT
        self.right_edge = PAPER_LEFT + wide * self.scale if room is None else WIDTH - RIGHT
        self._middle = (self.left_edge + self.right_edge) / 2
        self.floor = TOP + high * self.scale
        self.board = 16.0 if sheet.board_v is not None else 0.0
        self.bottom = self.floor + self.board

    def at(self, place: Point) -> Point:
        across = (place[0] - (self.left + self.right) / 2) * self.scale
        return self._middle + across, self.floor - (place[1] - self.low) * self.scale

    def loops(self, loops: Loops) -> list[list[Point]]:
        return [[self.at(place) for place in loop] for loop in loops]


def _draw(canvas: Canvas, frame: _Frame, sheet: SectionSheet, profile: "StudioProfile") -> None:
    canvas.region(frame.loops(sheet.shell), fill="paper-fill")
    canvas.region(frame.loops(sheet.shell), fill=canvas.paint(sheet.shell_hatch) if sheet.shell else "none", pen="stroke")
    canvas.region(frame.loops(sheet.filled), fill=canvas.paint(Hatch.RUBBER) if sheet.filled else "none", pen="stroke")
    for chunk in sheet.chunks:
        canvas.region(frame.loops([chunk]), fill=canvas.paint(Hatch.SCRAP), pen="stroke", width=0.8)
    # Around a thin wall thick lines would cover the first and the last coat.
    thin = sum(thickness for _, thickness, _ in sheet.coats) * frame.scale < 20
    for number, (_, thickness, within) in reversed(list(enumerate(sheet.coats))):
        last = number == len(sheet.coats) - 1
        # A line between thin coats would hide the very tints that tell them apart.
        pen = "stroke" if last else "pale-stroke" if thickness * frame.scale > 4 else ""
        canvas.region(frame.loops(within), fill=TINTS[number % 2], pen=pen, width=0.6 if thin or not last else 1.2)
    canvas.region(frame.loops(sheet.piece), fill="paper-fill")
    hatching = canvas.paint(Hatch.PIECE) if sheet.piece else "none"
    canvas.region(frame.loops(sheet.piece), fill=hatching, pen="stroke", width=0.9 if thin else 1.6)
    if sheet.board_v is not None:
        _draw_board(canvas, frame, sheet.board_v)
    _draw_dimensions(canvas, frame, sheet, profile)
    scale_bar(
        canvas,
        (frame.left_edge - 12, frame.bottom + 58),
        px_per_mm=frame.scale,
        longest_px=min(130, frame.right_edge - frame.left_edge),
        profile=profile,
    )


def _draw_board(canvas: Canvas, frame: _Frame, board_v: float) -> None:
    top = frame.at((0, board_v))[1]
    corner, size = (frame.left_edge - 10, top), (frame.right_edge - frame.left_edge + 20, frame.board)
    canvas.box(corner, size, fill="paper-fill")
    canvas.box(corner, size, fill=canvas.paint(Hatch.BOARD))
    canvas.line(corner, (corner[0] + size[0], top), width=1.6)


def _draw_dimensions(canvas: Canvas, frame: _Frame, sheet: SectionSheet, profile: "StudioProfile") -> None:
    """Measure the piece where the plane cuts it, else what it cuts of the coats."""
    left, right, low, high = measured_box(sheet)
    ends = [(frame.at((edge, 0))[0], frame.bottom + 24) for edge in (left, right)]
    dimension(canvas, ends[0], ends[1], show(right - left, "mm", profile))
    tips = [(frame.left_edge - 15, frame.at((0, edge))[1]) for edge in (low, high)]
    dimension(canvas, tips[0], tips[1], show(high - low, "mm", profile))


def measured_box(sheet: SectionSheet) -> Box:
    """Return the box of the piece in the section, or of all that is cut where the plane passes beside the piece."""
    places = [place for loop in sheet.piece for place in loop]
    if not places:
        return sheet.box
    across, up = [place[0] for place in places], [place[1] for place in places]
    return min(across), max(across), min(up), max(up)


def _key(sheet: SectionSheet) -> list[tuple[str, tuple[Hatch | str, ...]]]:
    """Return what stands in the drawing, from the piece outward: the words and what they are painted with."""
    rows: list[tuple[str, tuple[Hatch | str, ...]]] = []
    if sheet.piece:
        rows.append(("piece", (Hatch.PIECE,)))
    if any(within for _, _, within in sheet.coats):
        rows.append(("coats, tints in turn", TINTS if len(sheet.coats) > 1 else TINTS[:1]))
    if sheet.filled:
        rows.append((sheet.filled_words, (Hatch.RUBBER,)))
    if sheet.chunks:
        rows.append(("scrap in the fill", (Hatch.SCRAP,)))
    if sheet.shell:
        rows.append((sheet.shell_words or f"shell, {sheet.shell_hatch.label}", (sheet.shell_hatch,)))
    if sheet.board_v is not None:
        rows.append(("board", (Hatch.BOARD,)))
    return rows


def _draw_key(canvas: Canvas, rows: Sequence[tuple[str, tuple[Hatch | str, ...]]], *, top: float, columns: int = 2) -> None:
    for number, (words, paints) in enumerate(rows):
        x, y = 8 + KEY_COLUMN * (number % columns), top + KEY_ROW * (number // columns)
        wide = 34 / len(paints)
        for at, paint in enumerate(paints):
            fill = canvas.paint(paint) if isinstance(paint, Hatch) else paint
            canvas.box((x + at * wide, y), (wide, 16), fill=fill, pen="stroke", width=0.8)
        canvas.text((x + 44, y + 13), words)


def _words(sheet: SectionSheet, profile: "StudioProfile") -> str:
    left, right, low, high = measured_box(sheet)
    what = "The piece" if sheet.piece else "The plane passes beside the piece; what it cuts"
    along = "along the plane, which leans" if sheet.leaning else "high here"
    said = [f"{what} is {show(right - left, 'mm', profile)} wide and {show(high - low, 'mm', profile)} {along}."]
    if sheet.coats:
        layers = ", ".join(f"{label} {show(thickness, 'mm', profile)}" for label, thickness, _ in sheet.coats)
        said.append(f"From the piece outward: {layers}.")
    if sheet.filled:
        chunks = len(sheet.chunks)
        held = f" with {chunks} {'chunk' if chunks == 1 else 'chunks'} of scrap" if chunks else ""
        said.append(f"Around {'them' if sheet.coats else 'it'} the {sheet.filled_words}{held}.")
    if sheet.shell:
        said.append(f"Outside {_outside(sheet)}.")
    if sheet.leaning and sheet.board_v is not None:
        said.append("The plane meets the board below.")
    return " ".join(said)


def _outside(sheet: SectionSheet) -> str:
    return f"are the {sheet.shell_words}" if sheet.shell_words else f"lies the shell of {sheet.shell_hatch.label}"
