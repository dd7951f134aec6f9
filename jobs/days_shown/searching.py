"""How far the search for days is: what it has found so far, and what of it is waiting to be used."""

from dataclasses import dataclass

from django.utils import timezone

from jobs.models import Timetable


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One answer on the way: after how many seconds, its cost in hundredths of a plain list's, how many windows it breaks."""

    seconds: float
    share: float | None
    broken: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchState:
    """The search under way or its proposal: `row` None where there is neither."""

    row: Timetable | None
    found: tuple[Found, ...] = ()
    looked_s: int = 0

    @property
    def busy(self) -> bool:
        """Say whether the worker has it, or will."""
        return self.row is not None and self.row.busy

    @property
    def refused(self) -> bool:
        """Say whether it ended without days."""
        return self.row is not None and self.row.state == Timetable.State.REFUSED

    @property
    def ready(self) -> bool:
        """Say whether days wait to be used."""
        return self.row is not None and self.row.state == Timetable.State.READY

    @property
    def best(self) -> Found | None:
        """The best that is found so far."""
        return self.found[-1] if self.found else None


def search_state(proposal: Timetable | None) -> SearchState:
    """Put together how far a search is."""
    if proposal is None:
        return SearchState(row=None)
    steps = proposal.steps
    found = tuple(
        Found(seconds=step["seconds"], share=_share(step["cost"], proposal.list_cost), broken=step["windows"]) for step in steps
    )
    looked = (timezone.now() - proposal.started_at).total_seconds() if proposal.started_at else 0.0
    return SearchState(row=proposal, found=found, looked_s=min(max(int(looked), 0), proposal.seconds))


def _share(cost: int, list_cost: int | None) -> float | None:
    """Return a cost in hundredths of that of the list a person makes; None where that is not known."""
    return 100 * cost / list_cost if list_cost else None
