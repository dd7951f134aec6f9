import pytest

from jobs.studies import queueing, working


@pytest.fixture
def pushed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Catch what is pushed to the worker."""
    ids: list[int] = []

    def push(study_id: int) -> bool:
        ids.append(study_id)
        return True

    monkeypatch.setattr(queueing, "push", push)
    monkeypatch.setattr(working, "push", push)
    return ids
