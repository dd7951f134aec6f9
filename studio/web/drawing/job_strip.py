"""A job's strip of days: one line a day, hands on the work solid, curing hatched, windows as brackets, now as a line."""

import datetime
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.drawing.job_strip_key import KEY_LINE, draw_close, draw_key, key_lines
from studio.web.drawing.job_strip_rows import LEFT, TOP, WIDTH, Row, Sheet, Worked, hours_of, sheet_of
from studio.web.formats import clock_text, day_text, locale_code, when_text

if TYPE_CHECKING:
    from studio.models import StudioProfile

LANE, GAP_ROW = 37.0, 22.0
_DIGIT = 7.4


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
    first, last = hours_of(tasks)
    sheet = sheet_of(tasks, first, last, promised_on)
    blocks = list(_blocks(sheet, now=now, promised_on=promised_on))
    height = TOP + sum(tall for _, tall in blocks) + KEY_LINE * len(key_lines(tasks)) + 8 + (16 if sheet.left_out else 0)
    canvas = Canvas(width=WIDTH, height=height, title=title, description=_words(tasks, now, profile))
    y = TOP
    for rows, tall in blocks:
        if len(rows) == 1 and (sheet.of(rows[0]) or rows[0].holds(now) or rows[0].on == promised_on):
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
    draw_key(canvas, tasks, y + 16)
    return canvas.svg()


def _blocks(sheet: Sheet, *, now: datetime.datetime, promised_on: datetime.date | None) -> Iterator[tuple[list[Row], float]]:
    """Yield each day with its height, and days together on which nothing goes on."""

    def shows(row: Row) -> bool:
        return bool(sheet.of(row)) or row.holds(now) or row.on == promised_on

    for busy, group in groupby(sheet.rows, key=shows):
        rows = list(group)
        if not busy:
            yield rows, GAP_ROW
            continue
        for row in rows:
            lanes = max((sheet.lanes[task.number] for task in sheet.of(row)), default=0) + 1
            yield [row], LANE * lanes + 2 + (14 if row.on == promised_on else 0)


def _draw_hours(canvas: Canvas, row: Row, first: int, last: int, *, floor: float, locale: str) -> None:
    wide = row.x(row.evening) - LEFT
    step = next((hours for hours in (1, 2, 3, 4, 6) if hours * wide / (last - first) >= 48), 6)
    night = row.evening < row.closes
    for hour in range(first, last + 1, step):
        x = LEFT + wide * (hour - first) / (last - first)
        canvas.line((x, TOP - 6), (x, floor), pen="pale-stroke", width=0.3)
        if night and x > LEFT + wide - 26:
            break
        canvas.text((x, TOP - 11), _hour(hour % 24, locale), size=13, anchor=_anchor(x), pale=True)
    if night:
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
    canvas: Canvas, sheet: Sheet, row: Row, *, top: float, tall: float, now: datetime.datetime, promised: bool,
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
    if row.holds(now):
        x = row.x(now.timestamp())
        canvas.line((x, top + 1), (x, top + tall - 1), pen="look-stroke", width=2.5)


def _draw_cure(canvas: Canvas, row: Row, task: Worked, top: float) -> None:
    if task.waits_until_at is None:
        return
    part = row.part(task.ends_at.timestamp(), task.waits_until_at.timestamp())
    if part is not None and part[1] - part[0] > 0.5:
        canvas.box((part[0], top + 10), (part[1] - part[0], 9), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.6)


def _draw_hands(canvas: Canvas, row: Row, task: Worked, top: float) -> None:
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


def _draw_window(canvas: Canvas, row: Row, task: Worked, top: float) -> None:
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
        draw_close(canvas, part[1], top + 3)


def _draw_numbers(canvas: Canvas, row: Row, tasks: Sequence[Worked], top: float) -> None:
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
