"""How many timetables are kept that nobody goes by."""

from jobs.models import Timetable

# Enough to look at what was proposed lately, and to go back.
UNUSED_KEPT = 5
USED_KEPT = 20


def drop_oldest() -> None:
    """Let go of the oldest timetables that were put by, each with all that belongs to it."""
    gone = Timetable.objects.filter(put_by_at__isnull=False).order_by("-put_by_at", "-pk")
    unused = gone.filter(used_at=None).values_list("pk", flat=True)[UNUSED_KEPT:]
    used = gone.filter(used_at__isnull=False).values_list("pk", flat=True)[USED_KEPT:]
    Timetable.objects.filter(pk__in=[*unused, *used]).delete()
