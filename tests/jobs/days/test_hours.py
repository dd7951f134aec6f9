"""People's hours on the grid, checked minute by minute against the zones' own rules."""

import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from jobs.days.clock import Grid
from jobs.days.hours import absences, end_of_day, spans_of, weeks
from jobs.days.people import people_of
from studio.models import Absence, WorkingHours
from tests.factories import PersonFactory
from tests.jobs.days.studio import hours

pytestmark = pytest.mark.django_db
UTC = datetime.UTC
STEP = datetime.timedelta(minutes=5)
# A Friday before each change of the clocks, and the last days of a month.
BEGINS = [
    ("Europe/London", datetime.datetime(2026, 3, 27, 6, tzinfo=UTC)),
    ("Europe/London", datetime.datetime(2026, 10, 23, 5, tzinfo=UTC)),
    ("America/New_York", datetime.datetime(2026, 3, 6, 11, tzinfo=UTC)),
    ("America/New_York", datetime.datetime(2026, 10, 30, 10, tzinfo=UTC)),
    ("Asia/Kolkata", datetime.datetime(2028, 2, 27, 20, 30, tzinfo=UTC)),
]
DAYS = 5


def there(person, grid: Grid, horizon: int) -> set[int]:
    """Return the steps at which somebody is there, by asking the zone what its clock shows at each; nothing of ours."""
    zone, found = timezone.get_current_timezone(), set()
    rows = list(WorkingHours.objects.filter(person=person))
    for step in range(horizon):
        shown = (grid.begins_at.astimezone(UTC) + step * STEP).astimezone(zone)
        minute = shown.hour * 60 + shown.minute
        for row in rows:
            opens, closes = (60 * at.hour + at.minute for at in (row.starts_at, row.ends_at))
            closes = 24 * 60 if closes == 23 * 60 + 59 else closes
            if row.weekday == shown.weekday() and opens <= minute < closes:
                found.add(step)
    return found


def steps_of(spans) -> set[int]:
    return {step for opens, closes in spans for step in range(opens, closes)}


@pytest.mark.parametrize(("zone", "begins"), BEGINS)
class TestSpansOf:
    def test_agree_with_the_clock_of_the_zone(self, zone, begins) -> None:
        person = PersonFactory()
        hours(person, range(7), "08:30", "12:30")
        hours(person, range(7), "13:15", "17:30")
        hours(person, [5, 6], "20:00", "23:59")
        with timezone.override(ZoneInfo(zone)):
            grid, horizon = Grid(begins_at=begins), DAYS * 288
            spans = spans_of(weeks([person])[0][person.pk].bench, grid, horizon)
            assert steps_of(spans) == there(person, grid, horizon)
            assert all(a[1] < b[0] for a, b in pairwise(spans))

    def test_keep_their_length_across_the_change(self, zone, begins) -> None:
        person = PersonFactory()
        hours(person, range(7), "09:00", "17:00")
        with timezone.override(ZoneInfo(zone)):
            spans = spans_of(weeks([person])[0][person.pk].bench, Grid(begins_at=begins), DAYS * 288)
            assert {closes - opens for opens, closes in spans[1:-1]} == {8 * 12}
            assert {Grid(begins_at=begins).at(opens).hour for opens, _ in spans[1:]} == {9}


class TestWeeks:
    def test_are_the_usual_one_until_hours_are_entered(self) -> None:
        ann, bob = PersonFactory(), PersonFactory()
        found, entered = weeks([ann, bob])
        assert (entered, sorted(found[ann.pk].bench)) == (False, [0, 1, 2, 3, 4])
        hours(bob, [1], "10:00", "12:00")
        found, entered = weeks([ann, bob])
        assert (entered, found[ann.pk].bench, sorted(found[bob.pk].bench)) == (True, {}, [1])


class TestRounding:
    def test_asks_nobody_to_be_there_longer(self) -> None:
        person = PersonFactory()
        hours(person, range(7), "08:07", "09:58")
        grid = Grid(begins_at=datetime.datetime(2026, 3, 2, tzinfo=UTC), step_min=15)
        (opens, closes), *_ = spans_of(weeks([person])[0][person.pk].bench, grid, 96)
        assert (grid.at(opens).time(), grid.at(closes).time()) == (datetime.time(8, 15), datetime.time(9, 45))


class TestAbsences:
    def test_are_of_one_or_of_all(self) -> None:
        ann, bob = PersonFactory(), PersonFactory()
        begins = datetime.datetime(2026, 3, 2, tzinfo=UTC)
        grid = Grid(begins_at=begins)
        for person, start, length in ((ann, 10, 4), (None, 12, 12), (bob, 9999, 1)):
            starts = begins + datetime.timedelta(hours=start, minutes=2)
            Absence.objects.create(person=person, starts_at=starts, ends_at=starts + datetime.timedelta(hours=length))
        found = absences([ann, bob], grid, 10 * 288)
        assert found == {ann.pk: ((10 * 12, 24 * 12 + 1),), bob.pk: ((12 * 12, 24 * 12 + 1),)}


class TestEndOfDay:
    def test_is_the_last_hour_that_anybody_is_there_that_day_or_before(self) -> None:
        grid = Grid(begins_at=datetime.datetime(2026, 3, 6, tzinfo=UTC))
        benches = [((96, 204),), ((100, 210), (3 * 288 + 96, 3 * 288 + 204))]
        ends = [end_of_day(datetime.date(2026, 3, day), grid, benches) for day in (6, 8, 9, 1)]
        # Friday, the Sunday after it, the Monday; a day before all of them is over at its own midnight.
        assert ends == [210, 210, 3 * 288 + 204, 0]


class TestPeopleOf:
    def test_visits_leave_out_hours_at_the_bench_and_who_is_gone_has_none(self) -> None:
        ann, gone = PersonFactory(name="Ann"), PersonFactory(name="Gone", active=False)
        hours(ann, [0], "08:00", "12:00")
        hours(ann, [0], "11:00", "13:00", WorkingHours.Where.HOME)
        hours(gone, [0], "08:00", "12:00")
        grid = Grid(begins_at=datetime.datetime(2026, 3, 2, tzinfo=UTC))
        found, _ = people_of(grid, 288, [], {gone.pk})
        assert [(one.label, one.hours, one.visits) for one in found] == [
            ("Ann", ((96, 144),), ((144, 156),)), ("Gone", (), ()),
        ]  # fmt: skip
        assert [one.label for one in people_of(grid, 288, [], set())[0]] == ["Ann"]
