"""The bands of a drawing of days: people, stations and the pieces that cure."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from studio.web.drawing.canvas import Canvas, Point
from studio.web.drawing.days_marks import draw_broken, draw_dashed, draw_window
from studio.web.drawing.days_values import Band, Frame, Moment, PieceRow, Stretch, Work
from studio.web.drawing.hatching import Hatch

JOB_HATCHES = (Hatch.WORK, Hatch.WORK_RISING, Hatch.WORK_FALLING, Hatch.WORK_LEVEL, Hatch.WORK_DOTTED, Hatch.WORK_UPRIGHT)
BLOCK, PAD, BRACKET = 15.0, 5.0, 7.0
LONGEST_NAME, SHORTEST_NAME = 30, 12

Styles = dict[int, Hatch]


@dataclass(frozen=True, slots=True)
class Row:
    """A band that knows its height and draws itself below a given line."""

    height: float
    draw: Callable[[Canvas, float], None]


@dataclass(frozen=True, slots=True)
class _Word:
    """Words above a bar, and the place on it that they belong to; broken windows are said in bold."""

    x: float
    words: str
    bold: bool = False


def person_row(frame: Frame, band: Band, own: Sequence[Work], before: Sequence[Work], styles: Styles) -> Row:
    """Lay out one person's work, and dashed the places that moved work had before."""
    return _bars(frame, band, [own], before, styles, held=False)


def station_row(frame: Frame, band: Band, own: Sequence[Work], styles: Styles) -> Row:
    """Lay out what a station is taken for; what it holds at once stands in lines of its own."""
    return _bars(frame, band, _in_lines(own, lambda work: work.begins, _held), (), styles, held=True)


def _held(work: Work) -> Moment:
    return work.held_until or work.ends


def _in_lines(works: Iterable[Work], since: Callable[[Work], Moment], until: Callable[[Work], Moment]) -> list[list[Work]]:
    """Put what is there at the same time beneath each other, each in the first line that is free by then."""
    lines: list[list[Work]] = []
    for work in sorted(works, key=since):
        free = next((line for line in lines if until(line[-1]) <= since(work)), None)
        if free is None:
            lines.append([work])
        else:
            free.append(work)
    return lines


def _bars(
    frame: Frame, band: Band, lines: Sequence[Sequence[Work]], before: Sequence[Work], styles: Styles, *, held: bool
) -> Row:
    packed = [_packed(frame, _words_of(frame, line, held=held)) for line in lines]
    title = _title_height(frame)
    heights = [PAD + _levels(words) * _line(frame) + BLOCK for words in packed]
    height = title + sum(heights) + PAD

    def draw(canvas: Canvas, top: float) -> None:
        _shade(canvas, frame, band.open, top, height)
        _title(canvas, frame, band.label, top, heights[0] if heights else BLOCK)
        at = top + title
        for line, words, deep in zip(lines, packed, heights, strict=True):
            bar = at + deep - BLOCK
            for work in before:
                if work.was and (span := frame.cut(*work.was)):
                    draw_dashed(canvas, *span, bar, bar + BLOCK)
            if held:
                waits = [(work.ends, work.held_until) for work in line if work.held_until and work.held_until > work.ends]
                _fill(canvas, frame, waits, bar + 2, BLOCK - 4, canvas.paint(Hatch.CURE), pen="pale-stroke")
            _solid(canvas, frame, line, bar, styles)
            _marks(canvas, frame, line, bar)
            _write(canvas, frame, words, bar)
            at += deep

    return Row(height, draw)


def piece_row(frame: Frame, row: PieceRow, own: Sequence[Work], shut: Sequence[Stretch], styles: Styles) -> Row:
    """Lay out one job: hands on solid, cures hatched, windows as brackets that close, the promised day as a line."""
    words = []
    for work in own:
        begins = frame.x(work.begins)
        if work.late_min and frame.left <= begins < frame.right:
            words.append(_Word(begins, f"{work.label[:LONGEST_NAME]}: window broken" if frame.named else "window broken", True))
        waits = frame.cut(work.ends, work.cures_until) if work.cures_until else None
        if waits and not work.unattended:
            words.append(_Word(waits[0], "not left alone"))
    due = row.promised if row.promised and frame.begins < row.promised <= frame.ends else None
    if due:
        words.append(_Word(frame.x(due), "promised, will be late" if row.late else "promised", row.late))
    packed, title = _packed(frame, words), _title_height(frame)
    deep = PAD + _levels(packed) * _line(frame) + BLOCK
    lanes = _in_lines(
        [work for work in own if _window(frame, work)], lambda work: work.opens, lambda work: work.closes or work.opens
    )
    height = title + deep + BRACKET * max(len(lanes), 1) + PAD

    def draw(canvas: Canvas, top: float) -> None:
        _shade(canvas, frame, shut, top, height)
        _title(canvas, frame, row.label, top, deep)
        bar = top + title + deep - BLOCK
        cures = [(work.ends, work.cures_until) for work in own if work.cures_until and work.cures_until > work.ends]
        _fill(canvas, frame, cures, bar + 2, BLOCK - 4, canvas.paint(Hatch.CURE), pen="pale-stroke")
        _solid(canvas, frame, own, bar, styles)
        for number, lane in enumerate(lanes):
            for work in lane:
                _draw_window(canvas, frame, work, bar + BLOCK + 2 + number * BRACKET)
        for work in own:
            _broken(canvas, frame, work, bar)
        if due:
            x = frame.x(due)
            canvas.line((x, bar - 3), (x, bar + BLOCK + BRACKET), pen="stop-stroke" if row.late else "stroke", width=2)
        _write(canvas, frame, packed, bar)

    return Row(height, draw)


def _window(frame: Frame, work: Work) -> tuple[float, float] | None:
    """Return the part of the window for what follows that lies on the sheet."""
    return None if work.closes is None else frame.cut(work.opens, work.closes)


def _draw_window(canvas: Canvas, frame: Frame, work: Work, y: float) -> None:
    """Draw the bracket of the window: open where it runs off the sheet, closed by a hook at the last moment."""
    span = _window(frame, work)
    if span and work.closes:
        draw_window(canvas, *span, y, opens=frame.begins <= work.opens, closes=work.closes <= frame.ends)


def _broken(canvas: Canvas, frame: Frame, work: Work, bar: float) -> None:
    span = frame.cut(work.begins - timedelta(minutes=work.late_min), work.begins) if work.late_min else None
    if span:
        draw_broken(canvas, *span, bar + BLOCK / 2)


def _words_of(frame: Frame, line: Sequence[Work], *, held: bool) -> list[_Word]:
    """Number each task, say what it is where there is room, and leave out what the one just before it says already."""
    found: list[_Word] = []
    for work in sorted(line, key=lambda item: item.begins):
        span = frame.cut(work.begins, max(work.ends, work.held_until or work.ends) if held else work.ends)
        if span is None:
            continue
        marks = (("visit", work.visit), ("pinned", work.pinned), ("moved", bool(work.was)))
        said = [str(work.job), *(word for word, so in marks if so and not held)]
        if frame.named and not held:
            said.insert(1, _fitting(frame, work.label, span[0], len(" ".join(said))))
        words = " ".join(said)
        if found and found[-1].words == words and span[0] < found[-1].x + frame.wide(words):
            continue
        found.append(_Word(span[0], words))
    return found


def _fitting(frame: Frame, name: str, x: float, taken: int) -> str:
    """Cut a name to the room right of its place, but not to less than can be read."""
    room = int((frame.right - x) / frame.wide("n")) - taken - 1
    room = min(max(room, SHORTEST_NAME), LONGEST_NAME)
    return name if len(name) <= room else name[: room - 1].rstrip() + "…"


def _packed(frame: Frame, words: Iterable[_Word]) -> list[tuple[float, int, _Word]]:
    """Set words beside or above each other, earlier ones higher, so that none runs into another or into its line.

    Level 0 is next to the bar.
    """
    begins: list[float] = []
    found = []
    for word in sorted(words, key=lambda item: item.x, reverse=True):
        wide = frame.wide(word.words) * (1.08 if word.bold else 1.0)
        x = max(frame.left, min(word.x, frame.right - wide))
        # The first level from which on upward nothing begins before this ends: its line then crosses no word.
        level = next(number for number in range(len(begins) + 1) if all(x + wide + 4 <= begin for begin in begins[number:]))
        if level == len(begins):
            begins.append(x)
        begins[level] = min(begins[level], x)
        found.append((x, level, word))
    return found


def _levels(packed: Sequence[tuple[float, int, _Word]]) -> int:
    return max((level + 1 for _, level, _ in packed), default=0)


def _line(frame: Frame) -> float:
    return frame.text + 2


def _title_height(frame: Frame) -> float:
    """Give a band's name a line of its own where there is no room beside it."""
    return frame.text + 6 if frame.named else 0.0


def _title(canvas: Canvas, frame: Frame, label: str, top: float, deep: float) -> None:
    room = int((frame.right if frame.named else frame.left) / (frame.text * 0.53)) - 1
    words = label if len(label) <= room else label[: max(room - 1, 1)] + "…"
    at: Point = (frame.left, top + frame.text + 2) if frame.named else (2, top + deep - 2)
    canvas.text(at, words, size=frame.text, bold=True)


def _shade(canvas: Canvas, frame: Frame, open_: Sequence[Stretch], top: float, height: float) -> None:
    """Shade all but the open hours; a band without hours stays white."""
    if not open_:
        return
    loops, at = [], frame.left
    for begins, ends in sorted(open_):
        span = frame.cut(begins, ends)
        if span is None:
            continue
        if span[0] > at:
            loops.append(_loop(at, span[0], top, height))
        at = max(at, span[1])
    if at < frame.right:
        loops.append(_loop(at, frame.right, top, height))
    canvas.region(loops, fill="shut-fill")


def _solid(canvas: Canvas, frame: Frame, line: Sequence[Work], bar: float, styles: Styles) -> None:
    """Fill hands-on time, one shape for all of a job in a band; what is done already is an empty frame."""
    jobs: dict[tuple[int, bool], list[list[Point]]] = {}
    for work in line:
        if span := frame.cut(work.begins, work.ends):
            jobs.setdefault((work.job, work.done), []).append(_loop(*span, bar, BLOCK))
    for (job, done), loops in jobs.items():
        if done:
            canvas.region(loops, fill="paper-fill", pen="stroke", width=1.4)
        else:
            canvas.region(loops, fill=canvas.paint(styles[job]), pen="stroke", width=0.6)


def _fill(
    canvas: Canvas, frame: Frame, spans: Iterable[tuple[object, object]], top: float, height: float, fill: str, *, pen: str
) -> None:
    loops = [_loop(*cut, top, height) for begins, ends in spans if (cut := frame.cut(begins, ends))]  # type: ignore[arg-type]
    canvas.region(loops, fill=fill, pen=pen, width=0.6)


def _marks(canvas: Canvas, frame: Frame, line: Sequence[Work], bar: float) -> None:
    """Frame the visits and pin what is pinned."""
    for work in line:
        span = frame.cut(work.begins, work.ends)
        if span is None:
            continue
        left, right = span
        if work.visit:
            canvas.box((left - 2, bar - 2), (right - left + 4, BLOCK + 4), pen="look-stroke", width=2)
        if work.pinned:
            canvas.line((left, bar - 4), (left, bar + BLOCK), width=1.6)
            canvas.ring((left, bar - 4), 3, fill="ink-fill")


def _write(canvas: Canvas, frame: Frame, packed: Sequence[tuple[float, int, _Word]], bar: float) -> None:
    for x, level, word in packed:
        y = bar - 4 - level * _line(frame)
        if level:
            canvas.line((word.x, y + 2), (word.x, bar - 1), pen="pale-stroke", width=0.6)
        canvas.text((x, y), word.words, size=frame.text, bold=word.bold)


def _loop(left: float, right: float, top: float, height: float) -> list[Point]:
    return [(left, top), (right, top), (right, top + height), (left, top + height)]
