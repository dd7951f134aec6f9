"""What a calendar reads: parsed by an independent parser, and line by line against RFC 5545."""

import datetime
import re
import time
from typing import Any

import pytest
import time_machine
import vobject

from jobs.feeds.events import follow
from jobs.feeds.serving import calendar_text, state_of
from jobs.feeds.tokens import feed_of, make_feed
from jobs.models import CalendarFeed, FeedEvent
from studio.models import Person, StudioProfile
from tests.factories import JobFactory, PersonFactory
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
DAY = 24 * HOUR
HARD = "Coat 2; position 1, “upper”\\ part 🧪🧱 ñandú: =\r\nsecond\x07 line " + "long words 🦺 " * 8
# standard: RFC 5545, 3.6 and 3.6.1; RFC 5546, 3.2.1 for what is published (ORGANIZER, and SEQUENCE above 0).
OF_CALENDAR = ("PRODID", "VERSION")
OF_EVENT = ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "ORGANIZER", "SEQUENCE")
ONCE_AT_MOST = (*OF_EVENT, "DTEND", "LAST-MODIFIED", "STATUS", "DESCRIPTION", "LOCATION", "URL", "TRANSP")
UTC_TIME = re.compile(r"^(DTSTAMP|DTSTART|DTEND|LAST-MODIFIED):\d{8}T\d{6}Z$")


@pytest.fixture(autouse=True)
def on_monday() -> Any:
    StudioProfile.objects.current()
    StudioProfile.objects.update(time_zone="Europe/London", name='The “Loft”, "north"; 2nd')
    with time_machine.travel(MONDAY, tick=False) as clock:
        yield clock


def feed_for(person: Person) -> CalendarFeed:
    feed = feed_of(make_feed(person=person, by=None))
    assert feed is not None
    return feed


def text_of(feed: CalendarFeed) -> bytes:
    return calendar_text(feed, state_of(feed))


def parsed(feed: CalendarFeed) -> dict[str, Any]:
    """Return the events of a feed by their uid, as the independent parser sees them."""
    calendar = vobject.readOne(text_of(feed).decode())
    return {event.uid.value: event for event in calendar.contents.get("vevent", [])}


def unfolded(text: bytes) -> list[str]:
    return text.replace(b"\r\n ", b"").decode().split("\r\n")


class TestText:
    def test_keeps_the_rules_of_the_standard_on_lines(self) -> None:
        ann = PersonFactory(name="Ann Ö. " + "very long " * 8)
        table = timetable_in_use()
        entry(table, JobFactory(), "coat_2#1", MONDAY, ann, label=HARD[:160], mixes="Tin; 25A, “soft”")
        entry(table, JobFactory(), "coat_3#1", MONDAY + HOUR, ann, station="")
        follow(table)
        text = text_of(feed_for(ann))
        assert text.startswith(b"BEGIN:VCALENDAR\r\n")
        assert text.endswith(b"END:VCALENDAR\r\n")
        # standard: RFC 5545, 3.1: lines end in CRLF and are no longer than 75 octets without it; no other control characters.
        assert b"\n" not in text.replace(b"\r\n", b"")
        assert b"\r" not in text.replace(b"\r\n", b"")
        assert max(len(line) for line in text.split(b"\r\n")) <= 75
        assert b"\r\n " in text
        assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text)
        lines = unfolded(text)
        names = [re.split("[:;]", line, maxsplit=1)[0] for line in lines if line]
        assert all(re.fullmatch(r"[A-Z0-9-]+", name) for name in names)
        for name in OF_CALENDAR:
            assert names.count(name) == 1
        assert names[1] in {"VERSION", "PRODID"}
        assert {"METHOD:PUBLISH", "VERSION:2.0", "REFRESH-INTERVAL;VALUE=DURATION:PT1H"} <= set(lines)
        events = "\n".join(lines).split("BEGIN:VEVENT\n")[1:]
        assert len(events) == 2
        for event in events:
            found = [re.split("[:;]", line, maxsplit=1)[0] for line in event.split("END:VEVENT")[0].splitlines()]
            assert all(found.count(name) == 1 for name in OF_EVENT)
            assert all(found.count(name) <= 1 for name in ONCE_AT_MOST)
            times = [line for line in event.splitlines() if line.startswith(("DT", "LAST-MODIFIED"))]
            assert len(times) == 4
            assert all(UTC_TIME.match(line) for line in times)

    def test_is_read_back_sign_by_sign_by_another_parser(self) -> None:
        ann, job = PersonFactory(name="Ann"), JobFactory()
        table = timetable_in_use()
        entry(table, job, "coat_2#1", MONDAY, ann, label=HARD[:160], mixes="Tin; 25A, “soft”", waits_until_at=MONDAY + 3 * HOUR)
        follow(table)
        (event,) = parsed(feed_for(ann)).values()
        assert event.summary.value == f"{job.number} {HARD[:160]}".replace("\r\n", "\n").replace("\x07", "")
        assert event.description.value == "Mix: Tin; 25A, “soft”.\nThen it waits until Mon 1 Mar 12:00."
        assert event.location.value == "Bench place"
        assert event.status.value == "CONFIRMED"
        assert (event.dtstart.value, event.dtend.value) == (MONDAY, MONDAY + 0.75 * HOUR)
        assert event.url.value.endswith(f"/days/people/{ann.pk}/2027-03-01/")
        assert event.organizer.params["CN"] == ["The “Loft”, 'north'; 2nd"]

    def test_says_the_right_moment_on_both_sides_of_a_change_of_the_clocks(self) -> None:
        # published: Directive 2000/84/EC; in London clocks go forward at 01:00 UTC on 28 March 2027, back on 31 October.
        ann, table = PersonFactory(), timetable_in_use()
        london = [datetime.datetime(2027, 3, 28, hour, tzinfo=datetime.UTC) for hour in (0, 1)]
        entry(table, JobFactory(), "coat_1#1", london[0], ann, minutes=90, waits_until_at=london[1] + HOUR)
        follow(table)
        (event,) = parsed(feed_for(ann)).values()
        assert event.dtend.value - event.dtstart.value == 1.5 * HOUR
        assert event.dtstart.value == london[0]
        # 02:00 UTC is 03:00 by the new clock.
        assert event.description.value == "Then it waits until Sun 28 Mar 03:00."


class TestChanges:
    def test_reach_the_parser_with_the_same_uid_and_a_higher_sequence(self, on_monday: Any) -> None:
        ann, job = PersonFactory(), JobFactory()
        feed, first = feed_for(ann), timetable_in_use()
        for number in (1, 2, 3):
            entry(first, job, f"coat_{number}#1", MONDAY + number * HOUR, ann)
        follow(first)
        before, tag = parsed(feed), state_of(feed).etag
        assert state_of(feed).etag == tag
        on_monday.move_to(MONDAY + 0.5 * HOUR)
        second = timetable_in_use(MONDAY)
        entry(second, job, "coat_1#1", MONDAY + HOUR, ann)
        entry(second, job, "coat_2#1", MONDAY + 5 * HOUR, ann)
        follow(second)
        after = parsed(feed)
        assert set(after) == set(before)
        by_label = {event.summary.value.split()[-1]: event for event in after.values()}
        assert [by_label[f"coat_{n}#1"].sequence.value for n in (1, 2, 3)] == ["0", "1", "1"]
        assert [by_label[f"coat_{n}#1"].status.value for n in (1, 2, 3)] == ["CONFIRMED", "CONFIRMED", "CANCELLED"]
        assert by_label["coat_2#1"].dtstart.value == MONDAY + 5 * HOUR
        assert by_label["coat_2#1"].last_modified.value == MONDAY + 0.5 * HOUR
        assert by_label["coat_1#1"].dtstamp.value == MONDAY
        assert state_of(feed).etag != tag

    def test_keeps_a_cancellation_for_thirty_days_and_what_was_done_for_ninety(self, on_monday: Any) -> None:
        ann, job = PersonFactory(), JobFactory()
        feed, first = feed_for(ann), timetable_in_use()
        entry(first, job, "done#1", MONDAY, ann)
        entry(first, job, "gone#1", MONDAY + DAY, ann)
        follow(first)
        on_monday.move_to(MONDAY + 2 * HOUR)
        follow(timetable_in_use(MONDAY + 2 * HOUR))
        on_monday.move_to(MONDAY + 30 * DAY)
        assert {event.status.value for event in parsed(feed).values()} == {"CONFIRMED", "CANCELLED"}
        on_monday.move_to(MONDAY + 31 * DAY)
        assert [event.status.value for event in parsed(feed).values()] == ["CONFIRMED"]
        on_monday.move_to(MONDAY + 91 * DAY)
        assert parsed(feed) == {}


class TestSpeed:
    def test_of_two_thousand_events_stays_within_a_second_or_two(self, django_assert_num_queries: Any) -> None:
        ann, job = PersonFactory(), JobFactory()
        FeedEvent.objects.bulk_create(
            FeedEvent(
                person=ann, job=job, task_key=f"coat_{n}#1", summary=f"103 Build coat ({n} of 2000), position 1",
                description="Mix: Tin.\nThen it waits until Mon 1 Mar 12:00.", place="Bench place",
                starts_at=MONDAY + n * HOUR, ends_at=MONDAY + n * HOUR + HOUR,
            )
            for n in range(2000)
        )  # fmt: skip
        feed = feed_for(ann)
        with django_assert_num_queries(2):
            began = time.process_time()
            text = text_of(feed)
            took_s = time.process_time() - began
        assert text.count(b"BEGIN:VEVENT") == 2000
        assert took_s < 5, "about 0.4 s on an idle core; this bound holds on a busy one"
