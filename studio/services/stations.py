"""Changes to stations."""

from django.db import IntegrityError, transaction

from studio.models import Station
from studio.services.errors import StationError


def save_station(*, station: Station | None, name: str, kind: str, places: int, note: str) -> Station:
    """Add a station, or change one; two stations cannot share a name."""
    station = station or Station()
    station.name, station.kind, station.places, station.note = name, kind, places, note
    try:
        with transaction.atomic():
            station.save()
    except IntegrityError:
        raise StationError(f"There is a station called “{name}” already. Give this one another name.") from None
    return station


def retire_station(*, station: Station) -> None:
    """Leave a station out of new plans."""
    station.active = False
    station.save(update_fields=["active"])


def bring_station_back(*, station: Station) -> None:
    """Let a retired station be planned again."""
    station.active = True
    station.save(update_fields=["active"])
