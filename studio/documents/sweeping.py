"""Sweeping inside a worker: at its start, and on a timer where no scheduler runs."""

import logging
import threading

from django.conf import settings
from django.db import connections

from studio.documents import files, outbox

log = logging.getLogger(__name__)


def begin() -> None:
    """Push what was lost while no worker ran; keep sweeping if this worker is told to."""
    _sweep_once(workers_are_gone=not settings.REDIS_URL)
    if settings.SWEEP_IN_WORKER:
        threading.Thread(target=_keep_sweeping, name="sweep", daemon=True).start()


def _keep_sweeping() -> None:
    pause = threading.Event()
    while not pause.wait(settings.SWEEP_EVERY_S):
        _sweep_once(workers_are_gone=False)


def _sweep_once(*, workers_are_gone: bool) -> None:
    """Sweep and let the connection go; whatever fails now is tried again at the next turn."""
    try:
        files.remove_leftovers()
        pushed = outbox.sweep(workers_are_gone=workers_are_gone)
        if pushed:
            log.info("pushed %s documents again", pushed)
    except Exception:
        log.exception("the sweep was put off")
    finally:
        connections.close_all()
