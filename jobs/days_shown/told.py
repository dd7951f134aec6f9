"""What a timetable is worth, in sentences and figures: how far from the best, what it breaks, what it asks of people."""

import datetime
from dataclasses import dataclass
from math import ceil
from typing import Any

from django.db.models import Count, Q

from jobs.days_shown.drawn import ends_of, is_late
from jobs.models import Job, Timetable, TimetableEntry
from studio.figures import Figure, Given, Source, SourceKind

_SEARCH = Source(kind=SourceKind.COMPUTED, text="the search for days")
COST_SAID = (
    "Counted are hours after promised days, hours until jobs are done, broken windows, visits out of hours and mixing sessions."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One timetable in numbers."""

    tasks: int
    broken: int
    visits: int
    late: tuple[Job, ...]
    ends: dict[int, datetime.datetime]
    gap: Figure | None
    proved: bool
    against_list: Figure | None

    @property
    def gap_percent(self) -> int:
        """The gap in whole hundredths, rounded up."""
        return 0 if self.gap is None else ceil(round(self.gap.value, 6))


def told(timetable: Timetable) -> Told:
    """Count what a timetable holds, in as many queries however much that is."""
    found = TimetableEntry.objects.filter(timetable=timetable).aggregate(
        tasks=Count("pk"), broken=Count("pk", filter=Q(late_min__gt=0)), visits=Count("pk", filter=Q(visit=True))
    )
    ends = ends_of(timetable)
    jobs = Job.objects.filter(pk__in=ends, promised_on__isnull=False).select_related("client").order_by("promised_on", "number")
    gap = gap_figure(timetable)
    return Told(
        **found,
        late=tuple(job for job in jobs if is_late(job, ends[job.pk])),
        ends=ends,
        gap=gap,
        proved=gap is not None and gap.value < 0.5,
        against_list=list_figure(timetable),
    )


def total_of(timetable: Timetable) -> int | None:
    """Return what a timetable costs, None before it is found."""
    cost: dict[str, Any] | None = timetable.cost
    return None if not cost else int(cost["total"])


def gap_figure(timetable: Timetable) -> Figure | None:
    """Return by how much of its cost a timetable may at most be worse than the best, None where that is not known."""
    total = total_of(timetable)
    if not total or timetable.bound is None:
        return None
    return Figure(
        key="days_gap",
        label="At most above the best there can be",
        value=100 * max(0.0, 1 - timetable.bound / total),
        unit="%",
        formula="(cost of these days − what no days can cost less than) ÷ cost of these days",
        given=(
            Given(label="Cost of these days", value=float(total), unit="1", source=_SEARCH),
            Given(label="No days cost less than", value=float(timetable.bound), unit="1", source=_SEARCH),
        ),
        note=COST_SAID,
    )


def list_figure(timetable: Timetable) -> Figure | None:
    """Return what a timetable costs as a share of what a plain list costs, None where there is no list."""
    cost = total_of(timetable)
    if cost is None or not timetable.list_cost:
        return None
    return Figure(
        key="days_against_list",
        label="Against a plain list",
        value=100 * cost / timetable.list_cost,
        unit="%",
        formula="cost of these days ÷ cost of a list made by hand, each job after the other as early as it goes",
        given=(
            Given(label="Cost of these days", value=float(cost), unit="1", source=_SEARCH),
            Given(label="Cost of the list", value=float(timetable.list_cost), unit="1", source=_SEARCH),
        ),
        note=COST_SAID,
    )
