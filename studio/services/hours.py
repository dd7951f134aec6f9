"""Questions about working hours, answered for pages."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import time

from studio.models import Person, WorkingHours


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekHours:
    """Hours in a usual week, at the bench and from home."""

    bench_h: float
    home_h: float


def hours_between(starts_at: time, ends_at: time) -> float:
    """Return the hours from one time of day to a later one; 23:59 stands for midnight."""
    end_min = 24 * 60 if (ends_at.hour, ends_at.minute) == (23, 59) else ends_at.hour * 60 + ends_at.minute
    return (end_min - starts_at.hour * 60 - starts_at.minute) / 60


def week_hours_by_person(*, active: bool = False) -> dict[int, WeekHours]:
    """Add up every person's week, or only of those who work here."""
    sums: dict[int, dict[str, float]] = defaultdict(lambda: dict.fromkeys(WorkingHours.Where.values, 0.0))
    for stretch in WorkingHours.objects.filter(person__active=True) if active else WorkingHours.objects.all():
        sums[stretch.person_id][stretch.where] += hours_between(stretch.starts_at, stretch.ends_at)
    return {
        person_id: WeekHours(bench_h=found[WorkingHours.Where.BENCH], home_h=found[WorkingHours.Where.HOME])
        for person_id, found in sums.items()
    }


def week_of(person: Person) -> list[tuple[str, list[WorkingHours], list[WorkingHours]]]:
    """Return a person's week by day: the day's name, the stretches at the bench, those from home."""
    stretches = list(person.hours.all())

    def on(weekday: int, where: str) -> list[WorkingHours]:
        return [stretch for stretch in stretches if stretch.weekday == weekday and stretch.where == where]

    return [
        (str(label), on(weekday, WorkingHours.Where.BENCH), on(weekday, WorkingHours.Where.HOME))
        for weekday, label in WorkingHours.Weekday.choices
    ]
