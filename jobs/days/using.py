"""Which timetable people go by: using a proposal, putting it by, going back to the one before."""

from django.db import transaction
from django.utils import timezone

from jobs.errors import TimetableRefused
from jobs.feeds.events import follow
from jobs.models import Timetable
from studio.models import Account

State = Timetable.State


@transaction.atomic
def use(*, timetable: Timetable, by: Account | None) -> Timetable:
    """Let people go by a proposal from now on; the one they went by stays where `go_back` finds it."""
    fresh = _locked(timetable)
    if fresh.state != State.READY:
        raise TimetableRefused("These days are not found yet; wait until the search has ended, or stop it.")
    if fresh.used_at is not None:
        raise TimetableRefused("These days were used already; plan the days anew, or go back to the ones before.")
    if fresh.put_by_at is not None:
        raise TimetableRefused("These days were put by; plan the days anew.")
    return _put_to_use(fresh, by)


@transaction.atomic
def put_by(*, timetable: Timetable) -> Timetable:
    """Leave a proposal unused; a search that is under way is stopped first."""
    fresh = _locked(timetable)
    if fresh.used_at is not None:
        raise TimetableRefused("People go by these days, or went by them; plan the days anew to change them.")
    if fresh.busy:
        raise TimetableRefused("These days are still being looked for; stop the search first.")
    if fresh.put_by_at is None:
        fresh.put_by_at = timezone.now()
        fresh.save(update_fields=["put_by_at"])
    return fresh


@transaction.atomic
def go_back(*, by: Account | None) -> Timetable:
    """Let people go by the timetable before the present one again; doing it twice brings the present one back."""
    used = list(Timetable.objects.select_for_update().filter(used_at__isnull=False).order_by("pk"))
    before = max((one for one in used if one.put_by_at is not None), key=lambda one: one.put_by_at, default=None)
    if before is None:
        raise TimetableRefused("There is no timetable before this one to go back to.")
    return _put_to_use(before, by)


def _locked(timetable: Timetable) -> Timetable:
    # All rows of either kind at once and in order, so that two who use different ones wait for each other.
    rows = Timetable.objects.select_for_update().filter(used_at__isnull=False, put_by_at=None).order_by("pk")
    list(rows.values_list("pk", flat=True))
    fresh: Timetable = Timetable.objects.select_for_update().get(pk=timetable.pk)
    return fresh


def _put_to_use(fresh: Timetable, by: Account | None) -> Timetable:
    now = timezone.now()
    Timetable.objects.filter(used_at__isnull=False, put_by_at=None).exclude(pk=fresh.pk).update(put_by_at=now)
    fresh.used_at, fresh.used_by, fresh.put_by_at = now, by, None
    fresh.save(update_fields=["used_at", "used_by", "put_by_at"])
    follow(fresh)
    return fresh
