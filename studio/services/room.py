"""The room's temperature as it is expected, hour by hour."""

from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from studio.models import Account, RoomHour
from studio.services.errors import RoomError

COLDEST_C, WARMEST_C = Decimal(-30), Decimal(60)
MOST_HOURS = 24 * 400

Before = dict[datetime, Decimal | None]


@transaction.atomic
def set_room(*, hours: Mapping[datetime, Decimal], by: Account | None) -> Before:
    """Keep what the room is expected to be in some hours, by their beginnings; return what stood there, None for nothing."""
    if len(hours) > MOST_HOURS:
        raise RoomError(f"These are {len(hours)} hours; send at most {MOST_HOURS} at once.")
    for temperature_c in hours.values():
        if not COLDEST_C <= temperature_c <= WARMEST_C:
            raise RoomError(f"A room of {temperature_c} °C is not believable. Check the number and its unit.")
    wanted = {begins_at.astimezone(UTC): temperature_c for begins_at, temperature_c in hours.items()}
    before = _standing(wanted)
    now = timezone.now()
    RoomHour.objects.bulk_create(
        [
            RoomHour(begins_at=begins_at, temperature_c=temperature_c, noted_by=by, noted_at=now)
            for begins_at, temperature_c in wanted.items()
        ],
        update_conflicts=True,
        unique_fields=["begins_at"],
        update_fields=["temperature_c", "noted_by", "noted_at"],
    )
    return before


@transaction.atomic
def clear_room(*, since: datetime, until: datetime) -> Before:
    """Forget what was expected between two moments; return what stood there."""
    if until <= since:
        raise RoomError("This stretch ends before it begins. Correct one of the two days.")
    rows = RoomHour.objects.select_for_update().filter(begins_at__gte=since, begins_at__lt=until)
    before: Before = dict(rows.values_list("begins_at", "temperature_c"))
    rows.delete()
    return before


@transaction.atomic
def put_room_back(*, before: Before, by: Account | None) -> None:
    """Let the hours be as they were before a change."""
    RoomHour.objects.filter(begins_at__in=[begins_at for begins_at, was in before.items() if was is None]).delete()
    set_room(hours={begins_at: was for begins_at, was in before.items() if was is not None}, by=by)


def room_between(since: datetime, until: datetime) -> dict[datetime, Decimal]:
    """Return what is expected by the hour between two moments."""
    rows = RoomHour.objects.filter(begins_at__gte=since, begins_at__lt=until).order_by("begins_at")
    return dict(rows.values_list("begins_at", "temperature_c"))


def _standing(wanted: Mapping[datetime, Decimal]) -> Before:
    if not wanted:
        return {}
    rows = RoomHour.objects.select_for_update().filter(begins_at__gte=min(wanted), begins_at__lte=max(wanted))
    standing = dict(rows.values_list("begins_at", "temperature_c"))
    return {begins_at: standing.get(begins_at) for begins_at in wanted}
