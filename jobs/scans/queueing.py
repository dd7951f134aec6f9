"""Handing scans to the worker."""

import logging
from datetime import timedelta

log = logging.getLogger(__name__)

PUSH_AGAIN_AFTER = timedelta(seconds=20)


def push(scan_id: int) -> bool:
    """Queue the task; a broker that cannot be reached is logged, never raised: the row waits for the sweep."""
    from jobs.tasks import measure_scan

    try:
        measure_scan.apply_async(args=(scan_id,), retry=False)
    except Exception as problem:  # a transport raises errors of its own library; none may reach a person's request
        log.warning("scan %s stays queued, the broker cannot be reached: %s", scan_id, problem)
        return False
    return True
