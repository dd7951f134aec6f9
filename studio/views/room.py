"""The room's temperature in the coming days: drawn, typed by day and night, pasted by the hour, cleared, undone."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.room import DAYS_AHEAD, ClearRoomForm, RoomDaysForm, RoomHoursForm
from studio.local_time import start_of_day
from studio.models import RoomHour
from studio.room_course import NoCourse, days_of_hours, hours_of, hours_of_days, hours_of_readings, usual_course
from studio.services.errors import RoomError
from studio.services.rates import current_rates
from studio.services.room import Before, clear_room, put_room_back, room_between, set_room
from studio.views.room_drawing import days_from, room_drawing, room_lines
from studio.web.context import current_profile
from studio.web.htmx import render_page

CHANGED = "changed_room"
OFFERED_FOR = timedelta(hours=1)
MOST_OFFERED = 24 * 60


@require_safe
@needs(Right.SEE_STUDIO)
def room_show(request: HttpRequest) -> HttpResponse:
    """Show what the room is expected to be."""
    return _page(request)


@require_POST
@needs(Right.CHANGE_STUDIO)
def room_days_set(request: HttpRequest) -> HttpResponse:
    """Keep a day and a night for each of the coming days."""
    form = _days_form(request.POST)
    if not form.is_valid():
        return _page(request, days_form=form, status=422)
    hours = hours_of_days(form.kept_days(), zone=timezone.get_current_timezone(), warm_h=_warm_h())
    return _set(request, hours, "the days", days_form=form)


@require_POST
@needs(Right.CHANGE_STUDIO)
def room_hours_set(request: HttpRequest) -> HttpResponse:
    """Keep pasted hours as they are, or a record's mean day for the coming days."""
    form = RoomHoursForm(request.POST)
    if not form.is_valid():
        return _page(request, hours_form=form, status=422)
    readings = form.cleaned_data["readings"]
    if form.cleaned_data["meant"] == RoomHoursForm.AS_WRITTEN:
        return _set(
            request, hours_of_readings(readings, timezone.get_current_timezone()), "the hours", hours_form=form, notes=form.notes
        )
    days = days_from(timezone.localdate(), DAYS_AHEAD)
    try:
        hours = usual_course(readings, days=days, zone=timezone.get_current_timezone())
    except NoCourse as refused:
        form.add_error("readings", str(refused))
        return _page(request, hours_form=form, status=422)
    return _set(request, hours, "a usual day", hours_form=form)


@require_POST
@needs(Right.CHANGE_STUDIO)
def room_clear(request: HttpRequest) -> HttpResponse:
    """Forget a stretch of days."""
    form = ClearRoomForm(request.POST)
    if not form.is_valid():
        return _page(request, clear_form=form, status=422)
    zone, typed = timezone.get_current_timezone(), form.cleaned_data
    last = typed["until_day"] or typed["from_day"]
    try:
        before = clear_room(since=start_of_day(typed["from_day"], zone), until=start_of_day(last + timedelta(days=1), zone))
    except RoomError as refused:
        form.add_error(None, str(refused))
        return _page(request, clear_form=form, status=422)
    if before:
        _offer_undo(request, before, f"Forgotten: {len(before)} hours. They count as usual now.")
    else:
        messages.info(request, "Nothing was known of these days, so nothing changed.")
    return redirect("studio:room_show")


@require_POST
@needs(Right.CHANGE_STUDIO)
def room_undo(request: HttpRequest) -> HttpResponse:
    """Let the hours be as they were before the last change."""
    changed = request.session.pop(CHANGED, None)
    if changed is None:
        return _page(request, problem="There is nothing to undo: it was undone already, or too long ago.", status=422)
    before = {datetime.fromisoformat(at): None if was is None else Decimal(was) for at, was in changed["before"].items()}
    put_room_back(before=before, by=account_of(request))
    messages.success(request, "The temperatures are as they were before.")
    return redirect("studio:room_show")


def _set(
    request: HttpRequest, hours: Mapping[datetime, Decimal], what: str, *, notes: list[str] | None = None, **forms: Any
) -> HttpResponse:
    try:
        before = set_room(hours=hours, by=account_of(request))
    except RoomError as refused:
        return _page(request, problem=str(refused), status=422, **forms)
    said = f"Kept: {what}, {len(hours)} hours. They count when the days are planned anew."
    _offer_undo(request, before, " ".join([said, *(notes or [])]))
    return redirect("studio:room_show")


def _offer_undo(request: HttpRequest, before: Before, words: str) -> None:
    """Remember what stood there, as far as it is no more than a page can offer."""
    if len(before) > MOST_OFFERED:
        request.session.pop(CHANGED, None)
        messages.success(request, words)
        return
    kept = {at.isoformat(): None if was is None else str(was) for at, was in before.items()}
    request.session[CHANGED] = {"words": words, "before": kept, "at": timezone.now().isoformat()}


def _days_form(data: Any = None) -> RoomDaysForm:
    """Return the table of coming days; a page that was opened before midnight is read by its own days."""
    today, zone = timezone.localdate(), timezone.get_current_timezone()
    first_on = today
    if data is not None and data.get("first") == str(today - timedelta(days=1)):
        first_on = today - timedelta(days=1)
    days = days_from(first_on, DAYS_AHEAD)
    hours = room_between(start_of_day(days[0], zone), start_of_day(days[-1] + timedelta(days=2), zone))
    stored = days_of_hours(hours, days, zone=zone, warm_h=_warm_h())
    by_hour = {on for on in days if on not in stored and any(begins_at in hours for begins_at in hours_of(on, zone)[8:])}
    return RoomDaysForm(data, first_on=first_on, stored=stored, by_hour=by_hour)


def _warm_h() -> float:
    return current_rates()["room_warm_h"].value


def _page(
    request: HttpRequest,
    *,
    days_form: RoomDaysForm | None = None,
    hours_form: RoomHoursForm | None = None,
    clear_form: ClearRoomForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    profile, now, zone = current_profile(), timezone.now(), timezone.get_current_timezone()
    days: list[date] = days_from(timezone.localdate(), DAYS_AHEAD)
    hours = room_between(start_of_day(days[0], zone), start_of_day(days[-1] + timedelta(days=1), zone))
    lines = room_lines(hours, days, profile.workshop_temp_c)
    changed = request.session.get(CHANGED)
    if changed and now - datetime.fromisoformat(changed["at"]) > OFFERED_FOR:
        changed = None
    may_change = account_of(request).may(Right.CHANGE_STUDIO)
    context = {
        "known": bool(hours),
        "later": RoomHour.objects.filter(begins_at__gte=start_of_day(days[-1] + timedelta(days=2), zone)).count(),
        "lines": lines,
        "drawing": room_drawing(hours, lines, now=now, profile=profile) if hours else "",
        "usual_c": profile.workshop_temp_c,
        "warm_h": _warm_h(),
        "days_form": (days_form or _days_form()) if may_change else None,
        "hours_form": hours_form or RoomHoursForm(),
        "hours_open": hours_form is not None,
        "clear_form": clear_form or ClearRoomForm(initial={"from_day": days[0], "until_day": days[-1]}),
        "problem": problem,
        "changed": changed,
        "may_change": may_change,
    }
    return render_page(request, "studio/room.html", context, status=status)
