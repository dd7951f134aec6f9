"""A worker's claim on a scan: it holds until its lease ends or somebody else claims the scan after that."""

from django.db.models import QuerySet
from django.utils import timezone

from jobs.claims import LEASE
from jobs.models import ScanFile

State = ScanFile.State


class ClaimLost(Exception):
    """Somebody else has the scan by now; nothing more may be written about it."""


def held(scan: ScanFile) -> QuerySet[ScanFile]:
    """Return the scan as long as this claim holds."""
    return ScanFile.objects.filter(pk=scan.pk, state=State.READING, attempts=scan.attempts)


def write(scan: ScanFile, **values: object) -> None:
    """Write under this claim and hold it for longer; raises ClaimLost."""
    if not held(scan).update(lease_until_at=timezone.now() + LEASE, **values):
        raise ClaimLost


def close(scan: ScanFile, *, state: str, **values: object) -> bool:
    """Write down what came out, if this claim still holds."""
    fresh = {"attempts": 0} if state == State.ASKED else {}
    return bool(held(scan).update(state=state, lease_until_at=None, **fresh, **values))
