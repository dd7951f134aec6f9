"""Asking the worker for a timetable, for one after news, and for it to stop."""

from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.days.keeping import drop_oldest
from jobs.days.queueing import queue
from jobs.errors import TimetableRefused
from jobs.models import Timetable
from studio.models import Account

State, Reason = Timetable.State, Timetable.Reason
BUSY = (State.QUEUED, State.WORKING)
SECONDS = 20
AFTER_NEWS_S = 2
SHORTEST_S, LONGEST_S = 2, 120
STOPPED_UNBEGUN = "It was stopped before the worker began with it."


def ask_timetable(*, by: Account | None, seconds: int = SECONDS, why: str = Reason.ANEW) -> Timetable:
    """Have the days of all open jobs planned; returns the search that is under way where there is one.

    A proposal that nobody used makes room for the new one.
    """
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise TimetableRefused(f"A search goes on for {SHORTEST_S} to {LONGEST_S} seconds; choose a number between.")
    try:
        with transaction.atomic():
            return _busy() or _asked(by=by, seconds=seconds, why=why)
    except IntegrityError:
        # Somebody else asked in the same moment.
        found = _busy()
        if found is None:
            raise
        return found


def ask_after_news(*, by: Account | None, sentence: str) -> Timetable:
    """Have the timetable in use changed as little as the news allow; planned anew where none is in use.

    A search that is under way already begins again with the news. `sentence` says what is different.
    """
    sentence = sentence.strip()
    if not sentence:
        raise TimetableRefused("Say in a few words what is different.")
    try:
        with transaction.atomic():
            return _asked_after_news(by, sentence)
    except IntegrityError:
        with transaction.atomic():
            return _asked_after_news(by, sentence)


def _asked_after_news(by: Account | None, sentence: str) -> Timetable:
    under_way = _busy()
    if under_way is not None:
        return _begun_again(under_way, sentence)
    base = Timetable.objects.defer("problem").in_use()
    return _asked(by=by, seconds=AFTER_NEWS_S if base else SECONDS, why=Reason.NEWS if base else Reason.ANEW, news=[sentence])


@transaction.atomic
def ask_stop(*, timetable: Timetable) -> Timetable:
    """Have a search end with the best that it has found; one that has not begun is put by."""
    now = timezone.now()
    mine = Timetable.objects.filter(pk=timetable.pk)
    unbegun = mine.filter(state=State.QUEUED, attempts=0)
    if unbegun.update(state=State.REFUSED, reason=STOPPED_UNBEGUN, stop_asked_at=now, finished_at=now, put_by_at=now):
        timetable.refresh_from_db()
        return timetable
    if not mine.filter(state__in=BUSY).update(stop_asked_at=now):
        raise TimetableRefused("This search has ended already; its page shows what it found.")
    timetable.refresh_from_db()
    return timetable


def _busy() -> Timetable | None:
    return Timetable.objects.select_for_update().filter(state__in=BUSY).order_by("pk").first()


def _asked(*, by: Account | None, seconds: int, why: str, news: list[str] | None = None) -> Timetable:
    Timetable.objects.filter(used_at=None, put_by_at=None).update(put_by_at=timezone.now())
    base = Timetable.objects.defer("problem").in_use()
    made: Timetable = Timetable.objects.create(why=why, base=base, news=news or [], seconds=seconds, asked_by=by)
    drop_oldest()
    queue(made)
    return made


def _begun_again(timetable: Timetable, sentence: str) -> Timetable:
    """Let a search begin again with what is different: what it was given is no longer true.

    Its worker loses the claim and writes no more.
    """
    timetable.news = [*timetable.news, sentence]
    timetable.state, timetable.attempts, timetable.started_at = State.QUEUED, 0, None
    timetable.lease_until_at, timetable.stop_asked_at = None, None
    timetable.save(update_fields=["news", "state", "attempts", "started_at", "lease_until_at", "stop_asked_at"])
    queue(timetable)
    return timetable
