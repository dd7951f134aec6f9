"""A job's strip of days: one line a day, hands on the work solid, curing hatched, windows as brackets, now as a line."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.formats import clock_text, day_text, locale_code, when_text

if TYPE_CHECKING:
    from studio.models import StudioProfile

WIDTH, LEFT, TOP = 420.0, 52.0, 26.0
NIGHT = 44.0
LANE, GAP_ROW, KEY_LINE = 37.0, 22.0, 22.0
MOST_LANES, MOST_ROWS = 4, 45
SLACK = datetime.timedelta(days=14)
# Work that spreads over more of the day than this leaves no night to be drawn narrower.
_WIDEST_H = 18
_DIGIT = 7.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """One task in time under its number; what cures after it, and until when the next one must begin."""

    number: int
    label: str
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    waits_until_at: datetime.datetime | None = None
    latest_next_at: datetime.datetime | None = None
    done: bool = False
    pinned: bool = False
    visit: bool = False
    late: bool = False

    @property
    def quiet_at(self) -> datetime.datetime:
        """When nothing of it goes on any more."""
        return max(self.ends_at, self.waits_until_at or self.ends_at)


@dataclass(frozen=True, slots=True)
class _Row:
    """One day, from its first hour of work to that of the next; the part after `evening` is drawn narrower."""

    on: datetime.date
    opens: float
    evening: float
    closes: float

    def x(self, at: float) -> float:
        """Return where a moment of this day stands across."""
        wide = WIDTH - LEFT - (NIGHT if self.evening < self.closes else 0.0)
        if at <= self.evening:
            return LEFT + wide * (at - self.opens) / (self.evening - self.opens)
        return LEFT + wide + NIGHT * (at - self.evening) / (self.closes - self.evening)

    def part(self, begins: float, ends: float) -> tuple[float, float] | None:
        """Return from where to where a stretch is drawn on this day; None where it lies on others."""
        if ends <= self.opens or begins >= self.closes:
            return None
        return self.x(max(begins, self.opens)), self.x(min(ends, self.closes))


@dataclass(slots=True)
class _Sheet:
    """What is drawn on: rows with the tasks that touch them, each task's lane, and the sheet's foot."""

    rows: list[_Row]
    lanes: dict[int, int]
    tasks: Sequence[Worked]
    left_out: int = 0
    tops: dict[datetime.date, float] = field(default_factory=dict)
    foot: float = TOP

    def of(self, row: _Row) -> list[Worked]:
        """Return the tasks that are worked on or cure on a day."""
        return [task for task in self.tasks if row.part(task.starts_at.timestamp(), task.quiet_at.timestamp())]


def job_strip(
    tasks: Sequence[Worked],
    *,
    title: str,
    now: datetime.datetime,
    promised_on: datetime.date | None = None,
    profile: "StudioProfile | None" = None,
) -> SafeString:
    """Draw a job's tasks, one line for each of its days."""
    profile = profile or current_profile()
    first, last = _hours(tasks)
    sheet = _sheet(tasks, first, last, promised_on)
    blocks = list(_blocks(sheet, now=now, promised_on=promised_on))
    height = TOP + sum(tall for _, tall in blocks) + KEY_LINE * len(_key(sheet)) + 8 + (16 if sheet.left_out else 0)
    canvas = Canvas(width=WIDTH, height=height, title=title, description=_words(tasks, now, profile))
    y = TOP
    for rows, tall in blocks:
        if len(rows) == 1 and (sheet.of(rows[0]) or _holds(rows[0], now) or rows[0].on == promised_on):
            _draw_day(canvas, sheet, rows[0], top=y, tall=tall, now=now, promised=rows[0].on == promised_on, profile=profile)
        else:
            many = "one day" if len(rows) == 1 else f"{len(rows)} days"
            canvas.text((LEFT + 6, y + 14), f"{many} without work or curing", size=13, pale=True)
        canvas.line((0, y + tall), (WIDTH, y + tall), pen="pale-stroke", width=0.4)
        y += tall
    _draw_hours(canvas, sheet.rows[0], first, last, floor=y, locale=locale_code(profile))
    if sheet.left_out:
        canvas.text((LEFT + 6, y + 14), f"and {sheet.left_out} more days, which the table has", size=13, pale=True)
        y += 16
    _draw_key(canvas, sheet, y + 16)
    return canvas.svg()


def _hours(tasks: Sequence[Worked]) -> tuple[int, int]:
    """Return between which hours of the day hands are at work; all of the day where that is most of it."""
    first, last = 24.0, 0.0
    for task in tasks:
        local = timezone.localtime(task.starts_at)
        opens = local.hour + local.minute / 60
        closes = opens + (task.ends_at - task.starts_at).total_seconds() / 3600
        first, last = min(first, opens), max(last, closes)
    opens, closes = int(first), int(-(-last // 1))
    closes = max(closes, opens + 4)
    return (0, 24) if closes - opens > _WIDEST_H or closes > 24 else (opens, closes)


def _sheet(tasks: Sequence[Worked], first: int, last: int, promised_on: datetime.date | None) -> _Sheet:
    shift = datetime.timedelta(hours=first)
    begins = (timezone.localtime(min(task.starts_at for task in tasks)) - shift).date()
    # What cures after the last work is drawn for a day at most: it holds nobody up.
    quiet = max(task.quiet_at for task in tasks)
    ends = min(quiet, max(task.ends_at for task in tasks) + datetime.timedelta(days=1))
    finishes = (timezone.localtime(ends) - shift).date()
    # What is left until the promised day is seen where that is near.
    if promised_on is not None and finishes < promised_on <= finishes + SLACK:
        finishes = promised_on
    days = [begins + datetime.timedelta(days=number) for number in range((finishes - begins).days + 1)]
    rows = [_row(day, first, last) for day in days[:MOST_ROWS]]
    return _Sheet(rows=rows, lanes=_lanes(tasks), tasks=tasks, left_out=len(days) - len(rows))


def _row(day: datetime.date, first: int, last: int) -> _Row:
    def at(hour: int) -> float:
        on = day + datetime.timedelta(days=hour // 24)
        return timezone.make_aware(datetime.datetime.combine(on, datetime.time(hour % 24))).timestamp()

    return _Row(on=day, opens=at(first), evening=at(last), closes=at(first + 24))


def _lanes(tasks: Sequence[Worked]) -> dict[int, int]:
    """Give each task a lane in which nothing else is worked on or cures at that time, while there are lanes."""
    ends: list[datetime.datetime] = []
    found: dict[int, int] = {}
    for task in sorted(tasks, key=lambda one: (one.starts_at, one.number)):
        free = next((lane for lane, until in enumerate(ends) if until <= task.starts_at), None)
        if free is None and len(ends) < MOST_LANES:
            ends.append(task.quiet_at)
            free = len(ends) - 1
        elif free is None:
            free = ends.index(min(ends))
        ends[free] = max(ends[free], task.quiet_at)
        found[task.number] = free
    return found


def _blocks(sheet: _Sheet, *, now: datetime.datetime, promised_on: datetime.date | None) -> Iterator[tuple[list[_Row], float]]:
    """Yield each day with its height, and days together on which nothing goes on."""

    def shows(row: _Row) -> bool:
        return bool(sheet.of(row)) or _holds(row, now) or row.on == promised_on

    for busy, group in groupby(sheet.rows, key=shows):
        rows = list(group)
        if not busy:
            yield rows, GAP_ROW
            continue
        for row in rows:
            lanes = max((sheet.lanes[task.number] for task in sheet.of(row)), default=0) + 1
            yield [row], LANE * lanes + 2 + (14 if row.on == promised_on else 0)


def _holds(row: _Row, now: datetime.datetime) -> bool:
    return row.opens <= now.timestamp() < row.closes


def _draw_hours(canvas: Canvas, row: _Row, first: int, last: int, *, floor: float, locale: str) -> None:
    wide = row.x(row.evening) - LEFT
    step = next((hours for hours in (1, 2, 3, 4, 6) if hours * wide / (last - first) >= 48), 6)
    night = row.evening < row.closes
    for hour in range(first, last + 1, step):
        x = LEFT + wide * (hour - first) / (last - first)
        canvas.line((x, TOP - 6), (x, floor), pen="pale-stroke", width=0.3)
        if night and x > LEFT + wide - 26:
            break
        canvas.text((x, TOP - 11), _hour(hour % 24, locale), size=13, anchor=_anchor(x), pale=True)
    if row.evening < row.closes:
        canvas.line((LEFT + wide, TOP - 6), (LEFT + wide, floor), pen="pale-stroke", width=0.8)
        canvas.text((WIDTH, TOP - 11), "night", size=13, anchor="end", pale=True)


def _anchor(x: float) -> str:
    """Keep a word over a line within the sheet."""
    return "start" if x <= LEFT else "end" if x > WIDTH - 20 else "middle"


def _hour(hour: int, locale: str) -> str:
    """Write a full hour, without its minutes where the clock has twelve hours and says which half of the day."""
    said = clock_text(datetime.time(hour), locale)
    return said if said.endswith(":00") else said.replace(":00", "")


def _draw_day(
    canvas: Canvas, sheet: _Sheet, row: _Row, *, top: float, tall: float, now: datetime.datetime, promised: bool,
    profile: "StudioProfile",
) -> None:  # fmt: skip
    weekday, _, rest = day_text(row.on, timezone.localdate(now), locale_code(profile)).partition(" ")
    canvas.text((0, top + 15), weekday.rstrip(","), size=14, bold=True)
    canvas.text((0, top + 30), rest, size=13, pale=True)
    own = sheet.of(row)
    for task in own:
        _draw_cure(canvas, row, task, top + LANE * sheet.lanes[task.number])
    for task in own:
        _draw_hands(canvas, row, task, top + LANE * sheet.lanes[task.number])
    for task in sheet.tasks:
        _draw_window(canvas, row, task, top + LANE * sheet.lanes[task.number])
    for lane in {sheet.lanes[task.number] for task in own}:
        _draw_numbers(canvas, row, [task for task in own if sheet.lanes[task.number] == lane], top + LANE * lane)
    if promised:
        canvas.line((LEFT, top + tall - 4), (row.x(row.evening), top + tall - 4), width=1.6)
        canvas.text((row.x(row.evening) - 4, top + tall - 7), "promised", size=13, anchor="end", bold=True)
    if _holds(row, now):
        x = row.x(now.timestamp())
        canvas.line((x, top + 1), (x, top + tall - 1), pen="look-stroke", width=2.5)


def _draw_cure(canvas: Canvas, row: _Row, task: Worked, top: float) -> None:
    if task.waits_until_at is None:
        return
    part = row.part(task.ends_at.timestamp(), task.waits_until_at.timestamp())
    if part is not None and part[1] - part[0] > 0.5:
        canvas.box((part[0], top + 10), (part[1] - part[0], 9), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.6)


def _draw_hands(canvas: Canvas, row: _Row, task: Worked, top: float) -> None:
    part = row.part(task.starts_at.timestamp(), task.ends_at.timestamp())
    if part is None:
        return
    x, wide = part[0], max(part[1] - part[0], 2.5)
    if task.done:
        canvas.box((x, top + 8), (wide, 13), fill="piece-fill", pen="stroke", width=1)
    else:
        canvas.box((x, top + 8), (wide, 13), fill="stop-fill" if task.late else "ink-fill")
    if task.visit:
        canvas.box((x - 2, top + 6), (wide + 4, 17), pen="look-stroke", width=1.6)
    if task.starts_at.timestamp() < row.opens:
        return
    if task.late:
        canvas.shape([(x - 5, top), (x + 5, top), (x, top + 7)], fill="stop-fill")
    if task.pinned:
        canvas.ring((x + 2, top + 4), 3, fill="paper-fill", width=1.2)


def _draw_window(canvas: Canvas, row: _Row, task: Worked, top: float) -> None:
    """Draw the bracket from the earliest to the latest begin of what follows."""
    if task.latest_next_at is None:
        return
    opens, closes = task.quiet_at.timestamp(), task.latest_next_at.timestamp()
    part = row.part(opens, closes)
    if part is None:
        return
    canvas.line((part[0], top + 3), (part[1], top + 3), width=0.9)
    if opens >= row.opens:
        canvas.line((part[0], top + 3), (part[0], top + 7), width=0.9)
    if closes <= row.closes:
        _close(canvas, part[1], top + 3)


def _close(canvas: Canvas, x: float, y: float) -> None:
    """Draw the end of a window: nothing that follows begins later."""
    canvas.shape([(x - 3, y - 2), (x, y - 2), (x, y + 5), (x - 3, y + 5)], pen="stop-stroke", width=1.8, closed=False)


def _draw_numbers(canvas: Canvas, row: _Row, tasks: Sequence[Worked], top: float) -> None:
    """Write each task's number under its work; numbers that would run together as the first and the last."""
    placed: list[tuple[float, int, int]] = []
    for task in sorted(tasks, key=lambda one: one.starts_at):
        part = row.part(task.starts_at.timestamp(), task.ends_at.timestamp())
        if part is None or task.starts_at.timestamp() < row.opens:
            continue
        if placed:
            x, first, last = placed[-1]
            said = f"{first}" if first == last else f"{first}–{last}"
            if part[0] < x + _DIGIT * len(said) + 3:
                placed[-1] = (x, first, task.number)
                continue
        placed.append((part[0], task.number, task.number))
    for x, first, last in placed:
        canvas.text((x, top + 33), f"{first}" if first == last else f"{first}–{last}", size=13)


def _key(sheet: _Sheet) -> list[list[str]]:
    """Return the key's lines: only marks that stand on the sheet."""
    marks = ["hands", "cure"]
    marks += ["window"] if any(task.latest_next_at for task in sheet.tasks) else []
    marks += ["now"]
    marks += [name for name in ("done", "visit", "late", "pinned") if any(getattr(task, name) for task in sheet.tasks)]
    lines: list[list[str]] = [[]]
    across = 0.0
    for mark in marks:
        wide = 34 + 6.4 * len(_KEY[mark])
        if across + wide > WIDTH and lines[-1]:
            lines.append([])
            across = 0.0
        lines[-1].append(mark)
        across += wide
    return lines


_KEY = {
    "hands": "hands on", "cure": "curing", "window": "window for the next", "now": "now", "done": "done",
    "visit": "outside of hours", "late": "after its window", "pinned": "pinned",
}  # fmt: skip


def _draw_key(canvas: Canvas, sheet: _Sheet, top: float) -> None:
    for number, marks in enumerate(_key(sheet)):
        x, y = 0.0, top + KEY_LINE * number
        for mark in marks:
            _draw_mark(canvas, mark, x, y)
            canvas.text((x + 22, y), _KEY[mark], size=13, pale=True)
            x += 34 + 6.4 * len(_KEY[mark])


def _draw_mark(canvas: Canvas, mark: str, x: float, y: float) -> None:
    if mark == "cure":
        canvas.box((x, y - 9), (18, 9), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.6)
    elif mark == "window":
        canvas.line((x, y - 8), (x + 16, y - 8), width=0.9)
        canvas.line((x, y - 8), (x, y - 3), width=0.9)
        _close(canvas, x + 16, y - 8)
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


def _words(tasks: Sequence[Worked], now: datetime.datetime, profile: "StudioProfile") -> str:
    def said(moment: datetime.datetime) -> str:
        return when_text(moment, now, locale_code(profile))

    parts = []
    for task in tasks:
        words = f"{task.number} {task.label}: {said(task.starts_at)} to {said(task.ends_at)}"
        if task.waits_until_at and task.waits_until_at > task.ends_at:
            words += f", then it cures until {said(task.waits_until_at)}"
        if task.latest_next_at:
            words += f", the window closes {said(task.latest_next_at)}"
        parts.append(words)
    return "; ".join(parts) or "Nothing is laid out."
