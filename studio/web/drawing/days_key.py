"""The key of a drawing of days: what solid, hatched, shaded and bracketed stand for."""

from collections.abc import Callable

from django.utils.safestring import SafeString

from studio.web.drawing.canvas import Canvas
from studio.web.drawing.days_marks import draw_broken, draw_dashed, draw_window
from studio.web.drawing.days_values import Frame
from studio.web.drawing.hatching import Hatch

SAMPLE, GAP = 24.0, 18.0
Sample = Callable[[Canvas, float, float], None]


def days_key(*, width: float = 346.0, text: float = 14.0) -> SafeString:
    """Draw the key alone, for the page on which each day is a drawing of its own."""
    places = _places(text, width)
    canvas = Canvas(
        width=width, height=_deep(places, text) + 4, title="Key", description="What the drawings of days show: " + WORDS
    )
    _draw(canvas, places, 0.0, text)
    return canvas.svg()


def key_height(frame: Frame, width: float) -> float:
    """Return the room that the key needs at the foot of a drawing."""
    return _deep(_places(frame.text, width), frame.text) + 8


def draw_key(canvas: Canvas, frame: Frame, top: float) -> None:
    """Draw the key at the foot of a drawing."""
    _draw(canvas, _places(frame.text, canvas.width), top, frame.text)


def _places(text: float, width: float) -> list[tuple[float, int]]:
    x, line, found = 4.0, 0, []
    for words, _ in ITEMS:
        wide = SAMPLE + 6 + len(words) * text * 0.52
        if x + wide > width and x > 4:
            x, line = 4.0, line + 1
        found.append((x, line))
        x += wide + GAP
    return found


def _deep(places: list[tuple[float, int]], text: float) -> float:
    return (places[-1][1] + 1) * (text + 10)


def _draw(canvas: Canvas, places: list[tuple[float, int]], top: float, text: float) -> None:
    for (words, sample), (x, line) in zip(ITEMS, places, strict=True):
        y = top + line * (text + 10) + 6
        sample(canvas, x, y)
        canvas.text((x + SAMPLE + 6, y + 11), words, size=text, pale=True)


def _hands(canvas: Canvas, x: float, y: float) -> None:
    canvas.box((x, y), (12, 13), fill=canvas.paint(Hatch.WORK), pen="stroke", width=0.6)
    canvas.box((x + 12, y), (12, 13), fill=canvas.paint(Hatch.WORK_RISING), pen="stroke", width=0.6)


def _done(canvas: Canvas, x: float, y: float) -> None:
    canvas.box((x, y), (SAMPLE, 13), fill="paper-fill", pen="stroke", width=1.4)


def _cure(canvas: Canvas, x: float, y: float) -> None:
    canvas.box((x, y + 1), (SAMPLE, 11), fill=canvas.paint(Hatch.CURE), pen="pale-stroke", width=0.6)


def _window(canvas: Canvas, x: float, y: float) -> None:
    draw_window(canvas, x, x + SAMPLE, y + 5)


def _broken(canvas: Canvas, x: float, y: float) -> None:
    draw_broken(canvas, x, x + SAMPLE, y + 7)


def _pin(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x + 12, y), (x + 12, y + 14), width=1.6)
    canvas.ring((x + 12, y + 1), 3, fill="ink-fill")


def _visit(canvas: Canvas, x: float, y: float) -> None:
    canvas.box((x + 3, y), (18, 14), pen="look-stroke", width=2)


def _was(canvas: Canvas, x: float, y: float) -> None:
    draw_dashed(canvas, x, x + SAMPLE, y, y + 13)


def _shut(canvas: Canvas, x: float, y: float) -> None:
    canvas.box((x, y), (SAMPLE, 13), fill="shut-fill", pen="pale-stroke", width=0.5)


ITEMS: tuple[tuple[str, Sample], ...] = (
    ("hands on, each job its own", _hands), ("begun or done", _done), ("curing, or the station held", _cure),
    ("window for what follows", _window), ("window broken", _broken), ("pinned", _pin), ("visit out of hours", _visit),
    ("where it was before", _was), ("out of hours", _shut),
)  # fmt: skip
WORDS = ", ".join(words for words, _ in ITEMS) + "."
