"""Rows that the worker claims, scans and studies: each waits as queued, is held under a lease, and is given up in the end.

Such a row has `state`, `attempts`, `due_at`, `lease_until_at` and `reason`; while it is held its state is `busy`, a word of
its own.
"""

from collections.abc import Callable
from datetime import timedelta
from enum import Enum, auto
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F, Model, Q, QuerySet
from django.utils import timezone

MOST_ATTEMPTS = 3
LEASE = timedelta(minutes=4)
# A pushed task that nobody claimed after this long was lost on its way; the sweep pushes it again.
PUSH_AGAIN_AFTER = timedelta(seconds=20)
_MOST_PUSHED = 50
_QUEUED, _REFUSED = "queued", "refused"
Rows = QuerySet[Any]


class Claim(Enum):
    """What came of claiming a row: it is ours, it was given up, or somebody else has it or it is done."""

    TAKEN = auto()
    GIVEN_UP = auto()
    NOT_FREE = auto()


def take(row: Rows, *, busy: str, gave_up: str, **fresh: object) -> Claim:
    """Claim the one row of a query that waits, or whose worker is gone; after three workers it is refused, with words."""
    now = timezone.now()
    free = row.filter(Q(state=_QUEUED) | Q(state=busy, lease_until_at__lte=now))
    if free.filter(attempts__gte=MOST_ATTEMPTS).update(state=_REFUSED, reason=gave_up, lease_until_at=None):
        return Claim.GIVEN_UP
    taken = free.update(state=busy, attempts=F("attempts") + 1, lease_until_at=now + LEASE, **fresh)
    return Claim.TAKEN if taken else Claim.NOT_FREE


def queue(row: Model, push: Callable[[int], bool]) -> None:
    """Let the worker have a row as soon as the transaction is kept; a push that is lost is left to the sweep."""
    type(row)._default_manager.filter(pk=row.pk).update(due_at=timezone.now() + PUSH_AGAIN_AFTER)
    transaction.on_commit(partial(push, row.pk))


def push_lost(rows: Rows, *, busy: str, push: Callable[[int], bool]) -> int:
    """Push every row whose task was lost, until the broker cannot be reached; return how many."""
    now = timezone.now()
    lost = rows.filter(Q(state=_QUEUED, due_at__lte=now) | Q(state=busy, lease_until_at__lte=now)).order_by("due_at")
    pushed = 0
    for pk in list(lost.values_list("pk", flat=True)[:_MOST_PUSHED]):
        if not push(pk):
            break
        rows.filter(pk=pk).update(due_at=now + PUSH_AGAIN_AFTER)
        pushed += 1
    return pushed
