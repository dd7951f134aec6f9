"""Handing scans to the worker."""

from studio.handover import hand_over


def push(scan_id: int) -> bool:
    """Queue the task; False where the broker cannot be reached: the row then waits for the sweep."""
    from jobs.tasks import measure_scan

    return hand_over(measure_scan, scan_id, what="scan")
