"""How often something may be asked for: counted in the cache that all processes share, where there is one.

Where that cache cannot be reached, each process counts for itself: the limit then is looser and never gone.
"""

import logging

from django.core.cache import BaseCache, caches

log = logging.getLogger("studio.web")


def within(key: str, *, most: int, seconds: int) -> bool:
    """Count one more under a key; False beyond `most` in so many seconds."""
    try:
        return _counted(caches["default"], key, seconds) <= most
    except OSError as problem:
        log.warning("the shared cache cannot be reached, counting here: %s", type(problem).__name__)
    except Exception as problem:
        # What the cache's own library raises is no OSError; it is not imported where it is not used.
        if not type(problem).__module__.startswith("redis"):
            raise
        log.warning("the shared cache cannot be reached, counting here: %s", type(problem).__name__)
    return _counted(caches["here"], key, seconds) <= most


def _counted(cache: BaseCache, key: str, seconds: int) -> int:
    cache.add(key, 0, seconds)
    try:
        return cache.incr(key)
    except ValueError:
        # It ran out between the two lines.
        cache.set(key, 1, seconds)
        return 1
