"""Plans of ways that were made a moment ago, while somebody moves a rate or a price.

A plan depends on nothing but its brief, so one that was made of an equal brief is the same plan: what is kept here cannot be out
of date, only unused.
"""

from collections import OrderedDict
from collections.abc import Iterable
from threading import Lock

from jobs.planning.alternatives import Alternative
from jobs.planning.weighing import Weighed, weigh

# Some ten ways of a dozen jobs.
MOST = 128

_made: OrderedDict[tuple[int, str], Weighed] = OrderedDict()
_lock = Lock()


def weigh_once(job_pk: int, ways: Iterable[Alternative]) -> tuple[Weighed, ...]:
    """Plan each way of a job whole, or take the plan that this process made of an equal brief."""
    return tuple(_weighed((job_pk, way.key), way) for way in ways)


def forget() -> None:
    """Forget all plans."""
    with _lock:
        _made.clear()


def _weighed(place: tuple[int, str], way: Alternative) -> Weighed:
    with _lock:
        found = _made.get(place)
    if found is None or found.alternative != way:
        (found,) = weigh((way,))
    with _lock:
        _made[place] = found
        _made.move_to_end(place)
        while len(_made) > MOST:
            _made.popitem(last=False)
    return found
