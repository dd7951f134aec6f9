"""A person's days as an iCalendar text, by RFC 5545 and RFC 7986, all times in UTC so that no zone has to be agreed on."""

import hashlib
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from django.conf import settings
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from jobs.models import CalendarFeed, FeedEvent
from studio.models import StudioProfile
from studio.web.middleware import zone_of

if TYPE_CHECKING:
    from icalendar import Calendar, Event

CONTENT_TYPE = "text/calendar; charset=utf-8"
PRODUCT = "-//Handlaid//Days//EN"
# Raised when the same events would be written otherwise, so that calendars fetch them anew.
FORM = 1
READ_AGAIN = timedelta(hours=1)
PAST_KEPT = timedelta(days=90)
CANCELLED_KEPT = timedelta(days=30)
# RFC 5545, 3.1: no control characters in a text but the tab; line ends are written by their own sign.
UNWRITABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedState:
    """What a feed would say now: its events, a fingerprint of all of it, and when it last changed."""

    events: tuple[FeedEvent, ...]
    etag: str
    changed_at: datetime
    studio: str
    zone: str


def state_of(feed: CalendarFeed) -> FeedState:
    """Read what a feed has to say: what was begun in the last 90 days or lies ahead, and cancellations of 30 days."""
    now = timezone.now()
    profile = StudioProfile.objects.current()
    kept = Q(cancelled_at=None, ends_at__gte=now - PAST_KEPT) | Q(cancelled_at__gte=now - CANCELLED_KEPT)
    events = tuple(FeedEvent.objects.filter(kept, person=feed.person).order_by("starts_at", "pk"))
    # Whatever changes in an event raises its sequence, so its number stands for its text.
    said = [FORM, settings.PUBLIC_URL, profile.name, profile.time_zone, feed.person.name]
    fingerprint = hashlib.sha256(repr([said, [(event.uid.hex, event.sequence) for event in events]]).encode())
    return FeedState(
        events=events,
        etag=f'"{fingerprint.hexdigest()[:32]}"',
        changed_at=max((event.changed_at for event in events), default=feed.made_at),
        studio=profile.name,
        zone=profile.time_zone,
    )


def calendar_text(feed: CalendarFeed, state: FeedState) -> bytes:
    """Write a feed as an iCalendar text: CRLF at the ends of lines, lines folded at 75 octets, texts escaped."""
    from icalendar import Calendar

    calendar = Calendar()
    name = plain(f"{feed.person.name}, {state.studio}")
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("last-modified", state.changed_at.astimezone(UTC))
    _add_reading_again(calendar)
    organizer = _organizer(state.studio)
    for event in state.events:
        calendar.add_component(_component(event, organizer, state.zone))
    return bytes(calendar.to_ical())


def plain(text: str) -> str:
    """Return a text with nothing in it that RFC 5545 does not let stand in a line."""
    return UNWRITABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))


def _add_reading_again(calendar: "Calendar") -> None:
    # RFC 7986, 5.7 wants the kind of value said; programs older than it read the other name.
    calendar.add("refresh-interval", READ_AGAIN, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", "PT1H")


def _organizer(studio: str) -> object:
    """Return who publishes: RFC 5546, 3.2.1 asks every published event for it. The address is the studio's own page."""
    from icalendar import vCalAddress, vText

    organizer = vCalAddress(settings.PUBLIC_URL + "/")
    # A parameter can hold no double quote (RFC 5545, 3.2), and no line ends.
    organizer.params["CN"] = vText(plain(studio).replace('"', "'").replace("\n", " "))
    return organizer


def _component(event: FeedEvent, organizer: object, zone: str) -> "Event":
    from icalendar import Event

    component = Event()
    changed_at = event.changed_at.astimezone(UTC)
    component.add("uid", str(event.uid))
    # The text of an event is made anew only when it changes, so this is when it was made.
    component.add("dtstamp", changed_at)
    component.add("last-modified", changed_at)
    component.add("sequence", event.sequence)
    component.add("status", "CONFIRMED" if event.cancelled_at is None else "CANCELLED")
    component.add("dtstart", event.starts_at.astimezone(UTC))
    component.add("dtend", event.ends_at.astimezone(UTC))
    component.add("summary", plain(event.summary))
    component.add("organizer", organizer)
    component.add("url", _day_sheet(event, zone))
    component.add("transp", "OPAQUE" if event.cancelled_at is None else "TRANSPARENT")
    if event.description:
        component.add("description", plain(event.description))
    if event.place:
        component.add("location", plain(event.place))
    return component


def _day_sheet(event: FeedEvent, zone: str) -> str:
    on = event.starts_at.astimezone(zone_of(zone)).date()
    return settings.PUBLIC_URL + reverse("jobs:day_sheet_show", kwargs={"pk": event.person_id, "on": on.isoformat()})
