"""How often one feed may be fetched whole: a calendar asks once an hour, a broken one in a loop."""

from jobs.models import CalendarFeed
from studio.web.reading_limit import within

MOST_READINGS = 60
WITHIN_S = 600


def may_read(feed: CalendarFeed) -> bool:
    """Count one whole reading; False beyond 60 in ten minutes. Answers that nothing changed are not counted."""
    return within(f"feed-readings-{feed.token_hash}", most=MOST_READINGS, seconds=WITHIN_S)
