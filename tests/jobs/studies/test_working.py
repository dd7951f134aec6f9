"""The worker's side: one claim, one child, one answer; whatever happens to it, nothing is left behind."""

import os
import time
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from jobs.claims import MOST_ATTEMPTS
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.results import Positions, Study
from jobs.geometry.study.store import study_to_json
from jobs.geometry.study_child import StudyAbandoned, TapeShape
from jobs.models import PieceStudy
from jobs.services.plans import plan_of
from jobs.studies import files, keeping, working
from jobs.studies.asking import ask_study, retry_study
from tests.factories import planned_job

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pushed")]
State = PieceStudy.State
STUDY = Study(
    wall_mm=10, cell_mm=2, divisions=(), taken=None, scrap=None, gauges=(),
    positions=Positions(slope_limit_deg=50, positions=(), left_out_mm2=0),
)  # fmt: skip


@pytest.fixture
def child(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Stand in for the child process: it writes a file, says two steps and answers."""
    seen: list[Any] = []

    def study(shape: Any, brief: dict[str, Any], *, drawings: int, report: Any) -> dict[str, Any]:
        seen.append((shape, brief))
        os.write(drawings, b"drawings")
        report({"step": "measured", "seconds": 0.1, "triangles": 12, "area_m2": 1.0})
        report({"step": "positions", "seconds": 0.2, "positions": 5})
        return study_to_json(STUDY)

    monkeypatch.setattr(working, "study_in_child", study)
    return seen


def asked() -> PieceStudy:
    found = ask_study(plan_of(planned_job()))
    assert found is not None
    return found


class TestProcess:
    def test_keeps_what_the_child_found_with_its_file(self, child: list[Any]) -> None:
        study = asked()
        assert working.process(study.pk) == "studied"
        study.refresh_from_db()
        assert (study.state, [step["step"] for step in study.steps]) == (State.READY, ["measured", "positions"])
        assert files.path_of(study.stored_name).read_bytes() == b"drawings"
        assert files.path_of(study.stored_name).stat().st_mode & 0o777 == 0o600
        shape, brief = child[0]
        assert isinstance(shape, TapeShape)
        assert shape.brief.girths[0].girth_mm == 628
        assert brief == study.brief

    def test_does_nothing_the_second_time(self, child: list[Any]) -> None:
        study = asked()
        working.process(study.pk)
        assert working.process(study.pk) == "nothing to do"
        assert working.process(999_999) == "nothing to do"
        assert len(child) == 1

    def test_counts_no_attempt_while_kernels_are_being_compiled(self, child: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
        study = asked()
        monkeypatch.setattr(working, "wait_for_kernels", lambda: False)
        assert working.process(study.pk) == "not compiled yet"
        study.refresh_from_db()
        assert (study.state, study.attempts, child) == (State.QUEUED, 0, [])
        monkeypatch.setattr(working, "wait_for_kernels", lambda: True)
        assert working.process(study.pk) == "studied"

    def test_lets_one_of_two_workers_have_it(self, child: list[Any]) -> None:
        study = asked()
        assert working.claim(study.pk) is not None
        assert working.process(study.pk) == "nothing to do"
        assert child == []

    def test_waits_its_turn_where_enough_are_studied_already(self, child: list[Any], pushed: list[int]) -> None:
        first, second = asked(), asked()
        pushed.clear()
        for _ in range(working.MOST_AT_ONCE):
            assert working._places.acquire(blocking=False)
        try:
            assert working.process(second.pk) == "others first"
        finally:
            for _ in range(working.MOST_AT_ONCE):
                working._places.release()
        second.refresh_from_db()
        assert (second.state, second.attempts, child, pushed) == (State.QUEUED, 0, [], [])
        assert working.process(first.pk) == "studied"
        assert pushed == [second.pk]
        assert working.process(second.pk) == "studied"
        assert pushed == [second.pk]

    def test_says_why_it_was_refused_and_leaves_no_file(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def refuse(*args: Any, **kwargs: Any) -> Any:
            raise GeometryError("Turn one pull to the other side.")

        monkeypatch.setattr(working, "study_in_child", refuse)
        study = asked()
        assert working.process(study.pk) == "refused"
        study.refresh_from_db()
        assert (study.state, study.reason) == (State.REFUSED, "Turn one pull to the other side.")
        assert list(files.folder().iterdir()) == []

    def test_leaves_no_file_when_anything_else_goes_wrong(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def fail(*args: Any, **kwargs: Any) -> Any:
            raise OSError("no room on the disk")

        monkeypatch.setattr(working, "study_in_child", fail)
        with pytest.raises(OSError, match="no room"):
            working.process(asked().pk)
        assert list(files.folder().iterdir()) == []

    def test_writes_nothing_when_its_claim_was_lost(self, child: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
        study = asked()
        mine = working.claim(study.pk)
        PieceStudy.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))
        assert working.claim(study.pk) is not None
        assert not working.close(mine, state=State.READY)
        monkeypatch.setattr(working, "claim", lambda study_id: mine)
        assert working.process(study.pk) == "lost"
        study.refresh_from_db()
        assert (study.state, study.stored_name) == (State.WORKING, "")
        assert list(files.folder().iterdir()) == []

    def test_stops_the_child_when_its_row_is_gone(self, child: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
        study = asked()
        mine = working.claim(study.pk)
        monkeypatch.setattr(working, "claim", lambda study_id: mine)
        study.delete()
        assert working.process(mine.pk) == "lost"
        assert list(files.folder().iterdir()) == []

    def test_gives_up_after_three_workers_were_lost(self) -> None:
        study = asked()
        for _ in range(MOST_ATTEMPTS):
            assert working.claim(study.pk) is not None
            PieceStudy.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))
        assert working.claim(study.pk) is None
        study.refresh_from_db()
        assert (study.state, study.reason) == (State.REFUSED, working.GAVE_UP)

    def test_may_be_tried_again(self, pushed: list[int], django_capture_on_commit_callbacks: Any) -> None:
        study = asked()
        PieceStudy.objects.update(state=State.REFUSED, reason="x", attempts=3)
        with django_capture_on_commit_callbacks(execute=True):
            retry_study(study=study)
        study.refresh_from_db()
        assert (study.state, study.reason, study.attempts) == (State.QUEUED, "", 0)
        assert pushed == [study.pk]

    def test_says_so_when_the_readings_cannot_be_read(self, child: list[Any]) -> None:
        study = asked()
        study.takeoff.readings = {"girths": [{"odd": 1}], "solids": []}
        study.takeoff.save()
        assert working.process(study.pk) == "refused"
        assert child == []


class TestAbandoned:
    def test_is_no_refusal(self) -> None:
        assert not issubclass(StudyAbandoned, GeometryError)


class TestSweep:
    def test_pushes_what_nobody_took_and_what_was_let_go(self, pushed: list[int]) -> None:
        study = asked()
        assert working.sweep() == 0
        with time_machine.travel(timezone.now() + timedelta(minutes=1), tick=False):
            assert working.sweep() == 1
            assert working.sweep() == 0
        working.claim(study.pk)
        with time_machine.travel(timezone.now() + timedelta(minutes=2), tick=False):
            assert working.sweep() == 0
        with time_machine.travel(timezone.now() + timedelta(minutes=10), tick=False):
            assert working.sweep() == 1
        assert pushed == [study.pk, study.pk]

    def test_clears_files_that_no_row_names(self, child: list[Any]) -> None:
        study = asked()
        working.process(study.pk)
        study.refresh_from_db()
        orphan, fresh = files.path_of(files.new_name()), files.path_of(files.new_name())
        for path in (orphan, fresh):
            path.write_bytes(b"x")
        long_ago = time.time() - 2 * keeping.ORPHANED_AFTER.total_seconds()
        for path in (orphan, files.path_of(study.stored_name)):
            os.utime(path, (long_ago, long_ago))
        working.sweep()
        assert {path.name for path in files.folder().iterdir()} == {fresh.name, study.stored_name}
