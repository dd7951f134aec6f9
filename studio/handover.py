"""Handing a row to the worker: the row says what is to be done, the task only names it."""

import logging
from typing import Any

log = logging.getLogger(__name__)


def hand_over(task: Any, row_id: int, *, what: str) -> bool:
    """Queue a task for a row; a broker that cannot be reached is logged, never raised: the row waits for the sweep."""
    try:
        task.apply_async(args=(row_id,), retry=False)
    except Exception as problem:  # a transport raises errors of its own library; none may reach a person's request
        log.warning("%s %s stays queued, the broker cannot be reached: %s", what, row_id, problem)
        return False
    return True
