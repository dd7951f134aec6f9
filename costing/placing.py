"""Finding room for marks and words on a sheet, so that none covers another."""

import math
from collections.abc import Sequence
from itertools import pairwise

Spot = tuple[float, float]
Box = tuple[float, float, float, float]

LETTER, LINE = 5.9, 14.0
TURNS, STEP = 12, 6.0


class Placing:
    """Remembers what is taken on a sheet; marks are placed first, words after them."""

    def __init__(self, *, left: float, right: float, top: float, floor: float, mark: float) -> None:
        self._left, self._right, self._top, self._floor, self._mark = left, right, top, floor, mark
        self._marks: list[Spot] = []
        self._boxes: list[Box] = []
        self._on_lines: list[Spot] = []

    def mark_for(self, spot: Spot) -> Spot:
        """Return the spot, or the nearest place round it where a mark covers no other."""
        for reach in range(12):
            for turn in range(1 if reach == 0 else TURNS):
                angle = math.radians(360 / TURNS * turn - 90)
                place = (spot[0] + reach * self._mark * math.cos(angle), spot[1] + reach * self._mark * math.sin(angle))
                if (reach == 0 or self._holds(place)) and all(
                    math.dist(place, other) >= 2.9 * self._mark for other in self._marks
                ):
                    self._marks.append(place)
                    return place
        self._marks.append(spot)
        return spot

    def avoid(self, ends: Sequence[Spot]) -> None:
        """Keep words off a line through these points."""
        for (x0, y0), (x1, y1) in pairwise(ends):
            steps = max(int(math.hypot(x1 - x0, y1 - y0) / STEP), 1)
            self._on_lines += [(x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps) for n in range(steps + 1)]

    def label_for(self, at: Spot, lines: Sequence[str], *, needed: bool) -> tuple[Spot, Spot] | None:
        """Return corner and size of a box for words beside a place; where there is no room, None unless they are needed."""
        size = (6 + LETTER * max(map(len, lines)), 3 + LINE * len(lines))
        boxes = [(x, y, x + size[0], y + size[1]) for x, y in self._round(at, size, far=needed)]
        box = next((box for box in boxes if self._inside(box) and not self._covered(box)), None)
        if box is None:
            if not needed:
                return None
            # No room anywhere near: where the words cover least, kept on the sheet.
            box = min((self._pushed_in(box) for box in boxes), key=self._covered)
        self._boxes.append(box)
        return (box[0], box[1]), size

    def _round(self, at: Spot, size: Spot, *, far: bool) -> list[Spot]:
        (x, y), (across, down), clear = at, size, self._mark + 6
        near = [
            (x + clear, y - down / 2), (x - clear - across, y - down / 2), (x - across / 2, y - clear - down),
            (x - across / 2, y + clear), (x + clear - 6, y - clear - down + 6), (x + clear - 6, y + clear - 6),
            (x - clear + 6 - across, y - clear - down + 6), (x - clear + 6 - across, y + clear - 6),
        ]  # fmt: skip
        if not far:
            return near
        away = [
            (left, y - down / 2 + step) for step in (-30, 30, -46, 46, -64) for left in (x + clear, x - clear - across)
        ]  # fmt: skip
        return [*near, *away]

    def _holds(self, place: Spot) -> bool:
        mark = self._mark
        return self._left + mark < place[0] < self._right - mark and self._top + mark < place[1] < self._floor - mark

    def _inside(self, box: Box) -> bool:
        x0, y0, x1, y1 = box
        return x0 >= self._left + 2 and x1 <= self._right and y0 >= self._top - 8 and y1 <= self._floor - 2

    def _pushed_in(self, box: Box) -> Box:
        x0, y0, x1, y1 = box
        across = max(self._left + 2 - x0, 0.0) - max(x1 - self._right, 0.0)
        down = max(self._top - 8 - y0, 0.0) - max(y1 - self._floor + 2, 0.0)
        return (x0 + across, y0 + down, x1 + across, y1 + down)

    def _covered(self, box: Box) -> int:
        """Count what a box would cover: lines, marks, which weigh more, and words, which weigh most."""
        x0, y0, x1, y1 = box
        words = sum(x0 < bx1 and bx0 < x1 and y0 < by1 and by0 < y1 for bx0, by0, bx1, by1 in self._boxes)
        reach = self._mark + 4
        marks = sum(math.dist((min(max(mx, x0), x1), min(max(my, y0), y1)), (mx, my)) < reach for mx, my in self._marks)
        lines = sum(x0 - 2 < x < x1 + 2 and y0 - 2 < y < y1 + 2 for x, y in self._on_lines)
        return 100 * words + 10 * marks + lines
