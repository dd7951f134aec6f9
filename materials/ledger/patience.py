"""Trying again where the database undid a transaction for reasons of its own: two hands in each other's way, or a busy file."""

import random
import time
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import OperationalError, connection

from materials.errors import Busy

P = ParamSpec("P")
T = TypeVar("T")

TURNS = 6
# PostgreSQL: deadlock found, could not serialise, lock not available.
UNDONE_BY_THE_DATABASE = {"40P01", "40001", "55P03"}


def patiently(act: Callable[[], T]) -> T:
    """Run a whole transaction, again when it lost against another; inside a larger one the larger one must be run again."""
    for turn in range(TURNS):
        try:
            return act()
        except OperationalError as lost:
            if connection.in_atomic_block or not _worth_another_turn(lost):
                raise
            if turn == TURNS - 1:
                raise Busy("Many are writing at this moment and this entry was not written. Send it once more.") from lost
            time.sleep(random.uniform(0.01, 0.05) * 2**turn)  # noqa: S311 - no secret, only a pause of uneven length
    raise AssertionError


def patient(act: Callable[P, T]) -> Callable[P, T]:
    """Have a whole transaction always run by `patiently`."""

    @wraps(act)
    def run(*args: P.args, **kwargs: P.kwargs) -> T:
        return patiently(lambda: act(*args, **kwargs))

    return run


def _worth_another_turn(lost: OperationalError) -> bool:
    return getattr(lost.__cause__, "sqlstate", None) in UNDONE_BY_THE_DATABASE or "database is locked" in str(lost)
