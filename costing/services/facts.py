"""What came out at jobs: minutes, masses and what they cost, money spent besides, castings; in a fixed number of queries."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Q, Sum

from jobs.models import CastingsTally, Job, JobSpend, WorkDone
from materials.models import Movement
from materials.properties import MaterialKind

NOTHING = Decimal(0)
_USE = [Movement.Kind.ISSUE, Movement.Kind.RETURN]


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """A mass that went out for a job and did not come back, and what it cost by the ledger."""

    name: str
    mass_g: Decimal
    value: Decimal
    rubber: bool = False
    own: bool = False


@dataclass(slots=True, kw_only=True)
class Facts:
    """All that counts of one job; lines that were taken back are not in it.

    `used` goes by the key of the material, or of the scrap bin with “scrap-” before it.
    """

    work: list[WorkDone] = field(default_factory=list)
    spend: list[JobSpend] = field(default_factory=list)
    tallies: list[CastingsTally] = field(default_factory=list)
    used: dict[str, Used] = field(default_factory=dict)

    @property
    def minutes(self) -> dict[str, Decimal]:
        """Minutes by the key of the planned task; work that was not planned stands under an empty key."""
        found: dict[str, Decimal] = defaultdict(Decimal)
        for row in self.work:
            found[row.task_key] += row.minutes
        return dict(found)

    @property
    def good(self) -> int:
        """Castings that came out good."""
        return sum(row.good for row in self.tallies)

    @property
    def spoiled(self) -> int:
        """Castings that were spoiled."""
        return sum(row.spoiled for row in self.tallies)

    @property
    def spent(self) -> Decimal:
        """Money spent besides stock."""
        return sum((row.amount for row in self.spend), NOTHING)

    @property
    def rubber_g(self) -> Decimal:
        """Fresh rubber that was used."""
        return sum((one.mass_g for one in self.used.values() if one.rubber), NOTHING)

    @property
    def days(self) -> set[datetime.date]:
        """Days on which something was done."""
        return {row.done_on for row in self.work}

    def labour(self, planned_per_h: Decimal) -> Decimal:
        """Return what the minutes cost at the rates of those who worked; where nobody is named, at the planned rate."""
        rates = [(row.minutes, row.person.rate_per_h if row.person else planned_per_h) for row in self.work]
        return sum((minutes / 60 * rate for minutes, rate in rates), NOTHING)


def facts_of(jobs: Sequence[Job]) -> dict[int, Facts]:
    """Return what came out at each job, by its id."""
    found = {job.pk: Facts() for job in jobs}
    counts = {"job__in": list(found), "taken_back_at": None}
    for row in WorkDone.objects.filter(**counts).select_related("person"):
        found[row.job_id].work.append(row)
    for spend in JobSpend.objects.filter(**counts):
        found[spend.job_id].spend.append(spend)
    for tally in CastingsTally.objects.filter(**counts):
        found[tally.job_id].tallies.append(tally)
    by_number = {job.number: job.pk for job in jobs}
    for number, key, used in _used(by_number):
        found[by_number[number]].used[key] = used
    return found


def _used(numbers: Iterable[int]) -> Iterable[tuple[int, str, Used]]:
    lines = Movement.objects.filter(Q(kind__in=_USE) | Q(reverses__kind__in=_USE), job_number__in=list(numbers))
    totals = (
        lines.exclude(material__kind=MaterialKind.CONSUMABLE.value)
        .order_by()
        .values("job_number", "material_id", "scrap_bin_id", "material__name", "material__kind", "scrap_bin__label")
        .annotate(mass=Sum("mass_g"), cost=Sum("value"))
    )
    for one in totals:
        if not one["mass"]:
            continue
        own = one["scrap_bin_id"] is not None
        yield (
            one["job_number"],
            f"scrap-{one['scrap_bin_id']}" if own else str(one["material_id"]),
            Used(
                name=one["scrap_bin__label"] if own else one["material__name"], mass_g=-one["mass"], value=-one["cost"], own=own,
                rubber=one["material__kind"] == MaterialKind.RUBBER.value,
            ),
        )  # fmt: skip
