"""Marks that bands of days and the key to them share."""

from studio.web.drawing.canvas import Canvas


def draw_window(canvas: Canvas, left: float, right: float, y: float, *, opens: bool = True, closes: bool = True) -> None:
    """Draw the bracket of a window, with its beginning and the hook at its last moment where they lie on the sheet."""
    canvas.line((left, y + 3), (right, y + 3), width=1.2)
    if opens:
        canvas.line((left, y), (left, y + 3), width=1.2)
    if closes:
        hook = [(right - 3, y - 1), (right, y - 1), (right, y + 4), (right - 3, y + 4)]
        canvas.shape(hook, pen="stroke", width=1.8, closed=False)


def draw_broken(canvas: Canvas, left: float, right: float, y: float) -> None:
    """Draw the time after a window had closed, until the work that it was for."""
    canvas.line((left, y), (right, y), pen="stop-stroke", width=3)
    canvas.shape([(right, y), (right - 6, y - 5), (right - 6, y + 5)], fill="stop-fill")


def draw_dashed(canvas: Canvas, left: float, right: float, top: float, low: float) -> None:
    """Draw the place that work had before it moved."""
    for start, end in (
        ((left, top), (right, top)),
        ((right, top), (right, low)),
        ((right, low), (left, low)),
        ((left, low), (left, top)),
    ):
        canvas.line(start, end, dashes="3 2")
