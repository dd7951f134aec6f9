"""The piece in section on its board, with the blanket around it to scale and its wall enlarged."""

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas, Point, dimension, scale_bar
from studio.web.drawing.hatching import Hatch
from studio.web.quantities import show

if TYPE_CHECKING:
    from studio.models import StudioProfile

WIDTH = 420.0
TALLEST, WIDEST = 300.0, 290.0
LEFT, TOP = 84.0, 16.0
TINTS = ("tint-a", "tint-b")
CoatLine = tuple[str, float]
# What a sign of the small size takes up, roughly.
PX_PER_SIGN = 6.2


def section_drawing(
    *,
    points: Sequence[Point],
    coats: Sequence[CoatLine] = (),
    title: str,
    closed: bool = False,
    flange_mm: float = 0.0,
    cavity: Hatch = Hatch.PIECE,
    profile: "StudioProfile | None" = None,
) -> SafeString:
    """Draw a section.

    `points` are (across, height) in mm with height 0 at the board: one side from base to top, mirrored about the axis,
    or a whole outline when `closed`. `coats` are (label, thickness mm) from the piece outward. `flange_mm` is the width of
    rubber laid on the board. Coats alternate two tints; an enlargement of the wall names each.
    """
    profile = profile or current_profile()
    outline = list(points) if closed else [*points, *((-across, height) for across, height in reversed(points))]
    wall = sum(thickness for _, thickness in coats)
    frame = _Frame(outline, wall=wall, flange=flange_mm)
    canvas = Canvas(
        width=WIDTH, height=frame.bottom + (186 if coats else 74), title=title, description=_words(frame, coats, profile)
    )
    if coats and wall > 0:
        _draw_blanket(canvas, frame, outline, coats, flange_mm)
    canvas.shape([frame.at(point) for point in outline], fill=canvas.paint(cavity), pen="stroke", width=1.6)
    _draw_board(canvas, frame)
    if not closed:
        middle = frame.at((0, 0))[0]
        canvas.line((middle, TOP - 10), (middle, frame.floor + 10), pen="pale-stroke", dashes="14 3 3 3")
    dimension(canvas, (LEFT - 22, frame.floor), (LEFT - 22, frame.at((0, frame.high))[1]), show(frame.high, "mm", profile))
    ends = [(frame.at((edge, 0))[0], frame.bottom + 24) for edge in (frame.left, frame.right)]
    dimension(canvas, ends[0], ends[1], show(frame.right - frame.left, "mm", profile))
    scale_bar(canvas, (LEFT - 12, frame.bottom + 58), px_per_mm=frame.scale, longest_px=110, profile=profile)
    if coats and wall > 0:
        _point_out_wall(canvas, frame, outline)
        wall_strip(canvas, frame.bottom + 108, coats, profile)
    return canvas.svg()


class _Frame:
    """Where a point of the piece lies on the sheet."""

    def __init__(self, outline: Sequence[Point], *, wall: float, flange: float) -> None:
        self.left = min(across for across, _ in outline)
        self.right = max(across for across, _ in outline)
        self.high = max((height for _, height in outline), default=0.0) or 1e-6
        foot = [across for across, height in outline if height <= 0.02 * self.high] or [self.left, self.right]
        self.foot = (min(foot), max(foot))
        self.reach = max(wall, 0.0) + max(flange, 0.0)
        wide = max(self.right - self.left, 1e-6) + 2 * self.reach
        self.wall = wall
        self.scale = min(WIDEST / wide, TALLEST / (self.high + wall))
        self.floor = TOP + (self.high + wall) * self.scale
        self.board = max(14.0, wall * self.scale + 4)
        self.bottom = self.floor + self.board
        self._middle = LEFT + (WIDTH - LEFT - 20) / 2
        self._centre = (self.left + self.right) / 2

    def at(self, point: Point) -> Point:
        return (self._middle + (point[0] - self._centre) * self.scale, self.floor - point[1] * self.scale)


def _draw_blanket(canvas: Canvas, frame: _Frame, outline: Sequence[Point], coats: Sequence[CoatLine], flange_mm: float) -> None:
    """Draw the coats from the outermost in: an even band along the outline, as a brush leaves it on a convex piece."""
    line = [frame.at(point) for point in outline]
    depth = frame.wall * frame.scale
    outermost = TINTS[(len(coats) - 1) % 2]
    canvas.band(line, tint="stroke", width=2 * depth + 2.4)
    if flange_mm > 0:
        for side, edge in ((-1, frame.foot[0] - frame.wall), (1, frame.foot[1] + frame.wall)):
            near = frame.at((edge, 0))[0]
            far = near + side * flange_mm * frame.scale
            near -= side * depth / 2
            canvas.box((min(near, far), frame.floor - depth), (abs(far - near), depth), fill=outermost, pen="stroke", width=1.2)
    for number, (_, thickness) in reversed(list(enumerate(coats))):
        canvas.band(line, tint=TINTS[number % 2], width=2 * depth)
        depth -= thickness * frame.scale


def _draw_board(canvas: Canvas, frame: _Frame) -> None:
    corner, size = (LEFT - 12, frame.floor), (WIDTH - LEFT + 6, frame.board)
    canvas.box(corner, size, fill="paper-fill")
    canvas.box(corner, size, fill=canvas.paint(Hatch.BOARD))
    canvas.line((corner[0], frame.floor), (corner[0] + size[0], frame.floor), width=1.6)


def _point_out_wall(canvas: Canvas, frame: _Frame, outline: Sequence[Point]) -> None:
    """Ring the wall at the widest place of the right side and lead from there to its enlargement."""
    across, height = max(outline)
    spot = frame.at((across + frame.wall / 2, height))
    radius = max(9.0, frame.wall * frame.scale * 0.9)
    edge = min(WIDTH - 6, spot[0] + radius + 24)
    canvas.ring(spot, radius, width=1.2)
    canvas.line((spot[0] + radius, spot[1]), (edge, spot[1]), width=0.8)
    canvas.line((edge, spot[1]), (edge, frame.bottom + 84), width=0.8)
    canvas.line((edge, frame.bottom + 84), (WIDTH - 8, frame.bottom + 108), width=0.8)


def wall_strip(canvas: Canvas, top: float, coats: Sequence[CoatLine], profile: "StudioProfile") -> None:
    """Enlarge the wall: the piece at the left, then every coat to one scale, numbered as laid."""
    wall = sum(thickness for _, thickness in coats)
    height, left, room = 52.0, 8.0, WIDTH - 16 - 46
    canvas.text((left, top - 8), "Wall, enlarged", bold=True)
    canvas.text((left + 112, top - 8), show(wall, "mm", profile), pale=True)
    canvas.box((left, top), (46, height), fill=canvas.paint(Hatch.PIECE))
    x = left + 46
    for number, (_, thickness) in enumerate(coats):
        wide = room * thickness / wall
        canvas.box((x, top), (wide, height), fill=TINTS[number % 2], pen="pale-stroke")
        middle = x + wide / 2
        if wide >= 20:
            canvas.ring((middle, top + height / 2), 10, fill="paper-fill")
            canvas.text((middle, top + height / 2 + 4.5), number + 1, size=13, anchor="middle")
        x += wide
    _thicknesses_below(
        canvas, (left + 46, top + height + 16), [(show(each, "mm", profile), room * each / wall) for _, each in coats]
    )
    canvas.line((left + 46, top), (left + 46, top + height), width=1.6)
    canvas.line((x, top), (x, top + height), width=1.6)


def _thicknesses_below(canvas: Canvas, start: Point, coats: Sequence[tuple[object, float]]) -> None:
    """Write how thick each coat is under it where that fits, and once for coats alike where it does not."""
    x, below = start
    for label, alike in groupby(coats, key=lambda coat: str(coat[0])):
        widths = [wide for _, wide in alike]
        roomy = min(widths) >= PX_PER_SIGN * len(label) + 6
        spots = [x + sum(widths[:number]) + wide / 2 for number, wide in enumerate(widths)] if roomy else [x + sum(widths) / 2]
        text = label if roomy or len(widths) == 1 else f"each {label}"
        if roomy or sum(widths) >= PX_PER_SIGN * len(text) + 6:
            for spot in spots:
                canvas.text((spot, below), text, size=12, anchor="middle", pale=True)
        x += sum(widths)


def _words(frame: _Frame, coats: Sequence[CoatLine], profile: "StudioProfile") -> str:
    piece = f"The piece is {show(frame.high, 'mm', profile)} high and {show(frame.right - frame.left, 'mm', profile)} wide."
    if not coats:
        return piece
    layers = ", ".join(f"{label} {show(thickness, 'mm', profile)}" for label, thickness in coats)
    return f"{piece} From the piece outward: {layers}; {show(frame.wall, 'mm', profile)} together."
