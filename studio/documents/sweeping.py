"""Sweeping inside a worker: at its start, and on a timer where no scheduler runs."""

import logging
import threading

from celery import current_app
from django.conf import settings
from django.db import DatabaseError, connections

from studio.documents import claims

log = logging.getLogger(__name__)


def begin() -> None:
    """Push what was lost while no worker ran; keep sweeping if this worker is told to."""
    if not settings.REDIS_URL:
        # The embedded queue has one worker, and it is this one.
        try:
            claims.no_worker_is_left()
        except DatabaseError:
            log.warning("claims of the last worker end by themselves, the database cannot be used yet")
    sweep_once()
    if settings.SWEEP_IN_WORKER:
        threading.Thread(target=_keep_sweeping, name="sweep", daemon=True).start()


def _keep_sweeping() -> None:
    pause = threading.Event()
    while not pause.wait(settings.SWEEP_EVERY_S):
        sweep_once()


def sweep_once() -> None:
    """Run every scheduled sweep here and let the connection go; what fails now is tried again at the next turn."""
    for entry in settings.TASK_QUEUE["beat_schedule"].values():
        try:
            pushed = current_app.tasks[entry["task"]]()
            if pushed:
                log.info("%s: pushed %s again", entry["task"], pushed)
        except Exception:
            log.exception("%s was put off", entry["task"])
    connections.close_all()
