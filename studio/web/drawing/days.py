"""The days ahead as a workshop drawing: bands of people and stations, and of each job with its cures and windows.

    week_sheets(plan, first=date(2027, 3, 1), days=7)    a week side by side, for wide pages and for paper
    day_sheet(plan, on=date(2027, 3, 1))                 one day with names written out, for a narrow page

Both draw real hours to one scale, so that the day of a change to summer time is an hour narrower than others.
"""

import datetime
from collections.abc import Sequence
from math import ceil

from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.days_key import draw_key, key_height
from studio.web.drawing.days_rows import JOB_HATCHES, Row, Styles, person_row, piece_row, station_row
from studio.web.drawing.days_values import DaysPlan, Frame, Work
from studio.web.formats import clock_text, day_text, locale_code

WEEK_LEFT, WEEK_TEXT, WEEK_PX_PER_H = 132.0, 13.0, 5.75
DAY_LEFT, DAY_TEXT, DAY_PX_PER_H = 6.0, 14.0, 13.9
MARGIN = 8.0
# What bands may take of A4 or Letter laid across, beside the head and the key.
MOST_HIGH = 590.0


def week_sheets(plan: DaysPlan, *, first: datetime.date, days: int = 7) -> list[SafeString]:
    """Draw some days side by side, on as many sheets as it takes for each to fit on paper laid across."""
    frame = Frame(
        first=first, days=days, zone=plan.zone, left=WEEK_LEFT, px_per_h=WEEK_PX_PER_H, text=WEEK_TEXT, named=False
    )  # fmt: skip
    parts = _divided(_groups(plan, frame))
    said = _span_said(frame)
    return [
        _sheet(
            plan, frame, groups, hours=6, key=number == len(parts),
            title=said if len(parts) == 1 else f"{said}, sheet {number} of {len(parts)}",
        )
        for number, groups in enumerate(parts, start=1)
    ]  # fmt: skip


def day_sheet(plan: DaysPlan, *, on: datetime.date) -> SafeString:
    """Draw one day, with the name of each task."""
    frame = Frame(first=on, days=1, zone=plan.zone, left=DAY_LEFT, px_per_h=DAY_PX_PER_H, text=DAY_TEXT, named=True)
    return _sheet(plan, frame, _groups(plan, frame), hours=3, key=False, title=_span_said(frame))


def _groups(plan: DaysPlan, frame: Frame) -> list[list[Row]]:
    """Return the bands of people, of stations and of jobs."""
    work = _shown(plan, frame)
    return [group for group in (_people(plan, frame, work), _stations(plan, frame, work), _pieces(plan, frame, work)) if group]


def _divided(groups: Sequence[list[Row]]) -> list[list[list[Row]]]:
    """Deal bands to sheets that are no higher than paper allows: all to one, or jobs apart from people and stations."""
    if sum(row.height for group in groups for row in group) <= MOST_HIGH:
        return [list(groups)]
    return [*_dealt(groups[:-1]), *_dealt(groups[-1:])]


def _dealt(groups: Sequence[list[Row]]) -> list[list[list[Row]]]:
    """Deal bands in order, about as much to each sheet; one that is higher than paper has a sheet of its own."""
    whole = sum(row.height for group in groups for row in group)
    share = whole / max(ceil(whole / MOST_HIGH), 1)
    sheets: list[list[list[Row]]] = [[]]
    used = 0.0
    for group in groups:
        sheets[-1].append([])
        for row in group:
            if used and (used + row.height > MOST_HIGH or used + row.height / 2 > share):
                sheets.append([[]])
                used = 0.0
            sheets[-1][-1].append(row)
            used += row.height
    filled = [[group for group in sheet if group] for sheet in sheets]
    return [sheet for sheet in filled if sheet]


def _shown(plan: DaysPlan, frame: Frame) -> list[Work]:
    return [item for item in plan.work if (frame.begins < item.over and item.begins < frame.ends) or _moved_in(frame, item)]


def _sheet(plan: DaysPlan, frame: Frame, groups: Sequence[Sequence[Row]], *, hours: int, key: bool, title: str) -> SafeString:
    head = 2 * (frame.text + 5)
    floor = head + sum(row.height for group in groups for row in group)
    now = frame.begins <= plan.now < frame.ends
    foot = frame.text + 8 if now else 4.0
    width = frame.right + MARGIN
    canvas = Canvas(
        width=width, height=floor + foot + (key_height(frame, width) if key else 0.0), title=title,
        description=_said(plan, frame, _shown(plan, frame)),
    )  # fmt: skip
    top = head
    for group in groups:
        for row in group:
            row.draw(canvas, top)
            top += row.height
            canvas.line((0, top), (frame.right, top), pen="pale-stroke", width=0.5)
        canvas.line((0, top), (frame.right, top), width=1.4)
    _head(canvas, frame, floor, hours)
    if now:
        _now(canvas, plan, frame, head, floor)
    if key:
        draw_key(canvas, frame, floor + foot)
    return canvas.svg()


def _moved_in(frame: Frame, work: Work) -> bool:
    return work.was is not None and frame.begins < work.was[1] and work.was[0] < frame.ends


def _styles(plan: DaysPlan) -> Styles:
    """Give each job its hatch by its place among the jobs drawn, so that neighbours differ."""
    return {job: JOB_HATCHES[place % len(JOB_HATCHES)] for place, job in enumerate(sorted({work.job for work in plan.work}))}


def _people(plan: DaysPlan, frame: Frame, work: Sequence[Work]) -> list[Row]:
    styles, rows = _styles(plan), []
    for key, band in plan.people.items():
        own = [item for item in work if key in item.people and frame.cut(item.begins, item.ends)]
        before = [item for item in work if key in item.was_people and _moved_in(frame, item)]
        if own or before or not frame.named:
            rows.append(person_row(frame, band, own, before, styles))
    return rows


def _stations(plan: DaysPlan, frame: Frame, work: Sequence[Work]) -> list[Row]:
    styles, rows = _styles(plan), []
    for key, band in plan.stations.items():
        own = [
            item for item in work if item.station == key and frame.cut(item.begins, max(item.ends, item.held_until or item.ends))
        ]
        if own:
            rows.append(station_row(frame, band.open_as(plan.open), own, styles))
    return rows


def _pieces(plan: DaysPlan, frame: Frame, work: Sequence[Work]) -> list[Row]:
    styles, rows = _styles(plan), []
    for job, row in plan.pieces.items():
        own = [item for item in work if item.job == job and frame.cut(item.begins, item.over)]
        promised = row.promised is not None and frame.begins < row.promised <= frame.ends
        if own or promised:
            rows.append(piece_row(frame, row, own, plan.open, styles))
    return rows


def _head(canvas: Canvas, frame: Frame, floor: float, hours: int) -> None:
    """Write weekdays, dates and hours, with a line where each day begins."""
    locale = locale_code(current_profile())
    days = frame.starts()
    for place, (on, midnight) in enumerate(days):
        x = frame.x(midnight)
        canvas.line((x, 0 if place < frame.days else frame.text + 8), (x, floor), width=1)
        if place == frame.days:
            break
        canvas.text((x + 4, frame.text), day_text(on, on, locale), size=frame.text, bold=True)
        for hour in range(hours, 24, hours):
            moment = datetime.datetime.combine(on, datetime.time(hour), tzinfo=frame.zone)
            at = frame.x(moment)
            canvas.line((at, 2 * (frame.text + 5) - 4), (at, floor), pen="pale-stroke", width=0.5)
            canvas.text((at, 2 * (frame.text + 5) - 6), _hour(hour, locale), size=frame.text, anchor="middle", pale=True)


def _hour(hour: int, locale: str) -> str:
    """Write a full hour as short as the locale's clock allows."""
    return clock_text(datetime.time(hour), locale).replace(":00", "").replace("\u202f", "").replace(" ", "").lower()


def _now(canvas: Canvas, plan: DaysPlan, frame: Frame, head: float, floor: float) -> None:
    x = frame.x(plan.now)
    canvas.line((x, head - 4), (x, floor + 4), pen="look-stroke", width=2)
    words = f"now {clock_text(plan.now.astimezone(frame.zone).time(), locale_code(current_profile()))}"
    left = max(frame.left, min(x - frame.wide(words) / 2, frame.right - frame.wide(words)))
    canvas.text((left, floor + frame.text + 4), words, size=frame.text, bold=True)


def _span_said(frame: Frame) -> str:
    locale = locale_code(current_profile())
    days = [on for on, _ in frame.starts()[:-1]]
    first, last = (day_text(on, on, locale) for on in (days[0], days[-1]))
    return first if len(days) == 1 else f"{first} to {last}"


def _said(plan: DaysPlan, frame: Frame, work: Sequence[Work]) -> str:
    """Say who has how much to do and which windows are broken; the table on the page has the rest."""
    begun = [item for item in work if frame.begins <= item.begins < frame.ends]
    parts = [f"{_span_said(frame)}."]
    for key, band in plan.people.items():
        parts.append(f"{band.label}: {_tasks(sum(key in item.people for item in begun))}.")
    parts.extend(
        f"{band.label} taken {_times(sum(item.station == key for item in begun))}." for key, band in plan.stations.items()
    )
    parts.extend(f"Window broken: job {item.job}, {item.label}." for item in begun if item.late_min)
    visits = sum(item.visit for item in begun)
    if visits:
        parts.append(f"Visits out of hours: {visits}.")
    return " ".join(parts)


def _tasks(number: int) -> str:
    return "nothing" if not number else "1 task" if number == 1 else f"{number} tasks"


def _times(number: int) -> str:
    return "not at all" if not number else "once" if number == 1 else f"{number} times"
