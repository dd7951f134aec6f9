"""The key of a job's strip: what its marks stand for."""

from collections.abc import Sequence

from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.drawing.job_strip_rows import WIDTH, Worked

KEY_LINE = 22.0
_KEY = {
    "hands": "hands on", "cure": "curing", "window": "window for the next", "now": "now", "done": "done",
    "visit": "outside of hours", "late": "after its window", "pinned": "pinned",
}  # fmt: skip


def key_lines(tasks: Sequence[Worked]) -> list[list[str]]:
    """Return the key's lines: only marks that stand on the sheet."""
    marks = ["hands", "cure"]
    marks += ["window"] if any(task.latest_next_at for task in tasks) else []
    marks += ["now"]
    marks += [name for name in ("done", "visit", "late", "pinned") if any(getattr(task, name) for task in tasks)]
    lines: list[list[str]] = [[]]
    across = 0.0
    for mark in marks:
        if across + _wide(mark) > WIDTH and lines[-1]:
            lines.append([])
            across = 0.0
        lines[-1].append(mark)
        across += _wide(mark)
    return lines


def draw_key(canvas: Canvas, tasks: Sequence[Worked], top: float) -> None:
    """Draw the key below the strip."""
    for number, marks in enumerate(key_lines(tasks)):
        x, y = 0.0, top + KEY_LINE * number
        for mark in marks:
            _draw_mark(canvas, mark, x, y)
            canvas.text((x + 22, y), _KEY[mark], size=13, pale=True)
            x += _wide(mark)


def _wide(mark: str) -> float:
    return 34 + 6.4 * len(_KEY[mark])


def _draw_mark(canvas: Canvas, mark: str, x: float, y: float) -> None:
    if mark == "cure":
        canvas.box((x, y - 9), (18, 9), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.6)
    elif mark == "window":
        canvas.line((x, y - 8), (x + 16, y - 8), width=0.9)
        canvas.line((x, y - 8), (x, y - 3), width=0.9)
        draw_close(canvas, x + 16, y - 8)
    elif mark == "now":
        canvas.line((x + 9, y - 11), (x + 9, y + 2), pen="look-stroke", width=2.5)
    elif mark == "done":
        canvas.box((x, y - 10), (16, 11), fill="piece-fill", pen="stroke", width=1)
    elif mark == "pinned":
        canvas.ring((x + 9, y - 5), 3, fill="paper-fill", width=1.2)
    else:
        canvas.box((x + 1, y - 10), (15, 11), fill="stop-fill" if mark == "late" else "ink-fill")
        if mark == "visit":
            canvas.box((x - 1, y - 12), (19, 15), pen="look-stroke", width=1.6)
        if mark == "late":
            canvas.shape([(x + 4, y - 15), (x + 14, y - 15), (x + 9, y - 9)], fill="stop-fill")


def draw_close(canvas: Canvas, x: float, y: float) -> None:
    """Draw the end of a window: nothing that follows begins later."""
    canvas.shape([(x - 3, y - 2), (x, y - 2), (x, y + 5), (x - 3, y + 5)], pen="stop-stroke", width=1.8, closed=False)
