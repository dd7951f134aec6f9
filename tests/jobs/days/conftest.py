import datetime
from collections.abc import Iterator

import pytest
import time_machine

from jobs.days import queueing, working
from jobs.days.inputs import LaidOut
from jobs.days.searching import Looking
from jobs.models import Job
from studio.models import Person
from tests.jobs.days.studio import MONDAY, add_person, add_stations, agreed_drum


@pytest.fixture
def pushed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Catch what is pushed to the worker."""
    ids: list[int] = []

    def push(row_id: int) -> bool:
        ids.append(row_id)
        return True

    monkeypatch.setattr(queueing, "push", push)
    monkeypatch.setattr(queueing, "push_question", push)
    monkeypatch.setattr(working, "push", push)
    monkeypatch.setattr(working, "push_question", push)
    return ids


@pytest.fixture
def monday() -> Iterator[datetime.datetime]:
    """Stop the clock on a Monday in March at six in the morning."""
    with time_machine.travel(MONDAY, tick=False):
        yield MONDAY


@pytest.fixture
def ann(db: None) -> Person:
    """Return somebody who is there on weekdays from eight to five, and in the evenings for a quick coat."""
    return add_person("Ann", evenings=True)


@pytest.fixture
def drum(monday: datetime.datetime, ann: Person) -> Job:
    """Return a job that is agreed, in a studio of two with a frame."""
    add_person("Bob")
    add_stations()
    return agreed_drum(promised_on=datetime.date(2026, 4, 10))


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Look for days a short while only: what is found keeps every rule from the first answer on."""

    class Quick(Looking):
        def __init__(self, laid: LaidOut, *, seconds: float, news: bool) -> None:
            super().__init__(laid, seconds=min(seconds, 0.4), news=news)

    monkeypatch.setattr(working, "Looking", Quick)
