"""How often one feed may be fetched whole: a calendar asks once an hour, a broken one in a loop."""

from django.core.cache import cache

from jobs.models import CalendarFeed

MOST_READINGS = 60
WITHIN_S = 600


def may_read(feed: CalendarFeed) -> bool:
    """Count one whole reading; False beyond 60 in ten minutes. Answers that nothing changed are not counted."""
    key = f"feed-readings-{feed.token_hash}"
    cache.add(key, 0, WITHIN_S)
    try:
        return cache.incr(key) <= MOST_READINGS
    except ValueError:
        # It ran out between the two lines.
        cache.set(key, 1, WITHIN_S)
        return True
