from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from jobs.errors import StudyNotThere
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.workspace import Workspace, save_workspace
from jobs.inputs import latest_record
from jobs.models import Job, PieceStudy, Plan
from jobs.services.pieces import use_takeoff
from jobs.services.plans import keep_plan, plan_of, undo_plan
from jobs.studies import files, keeping
from jobs.studies.asking import ask_study, study_for
from jobs.studies.unasked import ask_unasked
from tests.factories import JobFactory, planned_job

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pushed")]
State = PieceStudy.State


def asked(job: Job, **decided: Any) -> PieceStudy:
    Plan.objects.filter(job=job).update(**decided)
    found = ask_study(plan_of(job))
    assert found is not None
    return found


def finished(study: PieceStudy) -> PieceStudy:
    name = files.new_name()
    field = DistanceField(values=np.ones((2, 2, 2), np.float32), origin=np.zeros(3), step_mm=1.0, low_mm=-1, high_mm=1)
    space = Workspace(vertices=np.zeros((3, 3), np.float32), faces=np.array([[0, 1, 2]], np.int32), distance=field)
    with files.path_of(name).open("wb") as stream:
        save_workspace(stream, space)
    PieceStudy.objects.filter(pk=study.pk).update(state=State.READY, stored_name=name)
    study.refresh_from_db()
    return study


class TestAskStudy:
    def test_asks_once_for_the_same_shape_and_decisions(self, pushed: list[int], django_capture_on_commit_callbacks: Any) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            job = planned_job()
            first = asked(job)
            assert pushed == []
        assert asked(job).pk == first.pk
        assert pushed == [first.pk]

    def test_is_asked_by_keeping_a_plan_and_by_going_back(self) -> None:
        job = planned_job()
        first = asked(job)
        plan = plan_of(job)
        keep_plan(plan=plan, values={"wall_mm": Decimal(12)}, revision=plan.revision, by=None)
        second = PieceStudy.objects.get()
        assert second.brief["wall_mm"] == 12
        PieceStudy.objects.update(state=State.READY)
        undo_plan(plan=plan, by=None)
        assert PieceStudy.objects.exclude(pk=second.pk).get().fingerprint == first.fingerprint

    def test_asks_anew_when_what_it_depends_on_changes_and_not_for_the_rest(self) -> None:
        job = planned_job()
        names = {asked(job).fingerprint}
        for decided in (
            {"wall_mm": Decimal(12)}, {"shell_pieces": 3}, {"division_rank": 1}, {"shell_layers": 4},
            {"pinned_pulls": [{"azimuth_deg": 30.0, "lift_deg": 0.0}]},
            {"shell_pieces": 2, "parting": {"azimuth_deg": 30.0, "offset_mm": 0.0}},
        ):  # fmt: skip
            names.add(asked(job, **decided).fingerprint)
        assert len(names) == 7
        names.add(asked(job, castings=30, positions=3, fill_volume_l=Decimal(2)).fingerprint)
        assert len(names) == 7

    def test_asks_nothing_of_a_piece_that_is_not_measured(self) -> None:
        assert ask_study(plan_of(JobFactory())) is None

    def test_asks_nothing_when_the_decisions_contradict_each_other(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_pieces=3, parting={"azimuth_deg": 0.0, "offset_mm": 0.0})
        assert ask_study(plan_of(job)) is None

    def test_lets_go_of_what_nobody_began_and_nobody_waits_for(self) -> None:
        job = planned_job()
        old = asked(job)
        new = asked(job, wall_mm=Decimal(12))
        assert list(PieceStudy.objects.values_list("pk", flat=True)) == [new.pk]
        assert old.pk != new.pk

    def test_keeps_a_few_and_their_files_only(self, django_capture_on_commit_callbacks: Any) -> None:
        job = planned_job()
        with django_capture_on_commit_callbacks(execute=True):
            made = [finished(asked(job, wall_mm=Decimal(wall))) for wall in range(5, 14)]
        kept = set(PieceStudy.objects.values_list("pk", flat=True))
        assert kept == {study.pk for study in made[-keeping.MOST_KEPT :]}
        assert {path.name for path in files.folder().iterdir()} == {study.stored_name for study in made[-keeping.MOST_KEPT :]}


class TestStudyFor:
    def test_is_the_one_for_this_plan_else_the_last_of_this_shape(self) -> None:
        job = planned_job()
        assert study_for(plan_of(job)) is None
        eight = finished(asked(job, wall_mm=Decimal(8)))
        found = study_for(plan_of(job))
        assert (found.pk, found.fits) == (eight.pk, True)
        asked(job, wall_mm=Decimal(12))
        found = study_for(plan_of(job))
        assert (found.pk, found.fits) == (eight.pk, False)

    def test_is_found_again_when_an_earlier_takeoff_is_put_back(self) -> None:
        job = planned_job()
        study = finished(asked(job))
        before = latest_record(job.piece)
        record = planned_job().piece.takeoffs.get()
        record.pk, record.piece, record.readings = None, job.piece, {**record.readings, "flange_width_mm": 10.0}
        record.save()
        use_takeoff(record=record)
        assert study_for(plan_of(job)) is None
        use_takeoff(record=before)
        assert study_for(plan_of(job)).pk == study.pk


class TestOpenWorkspace:
    def test_reads_what_was_kept(self) -> None:
        study = finished(asked(planned_job()))
        assert files.open_workspace(study).faces.tolist() == [[0, 1, 2]]
        assert files.open_workspace(study, ["picture"]).picture is None

    @pytest.mark.parametrize("content", [b"", b"PK\x03\x04 cut short", b"x" * 300])
    def test_says_what_to_do_when_the_file_is_damaged(self, content: bytes) -> None:
        study = finished(asked(planned_job()))
        files.path_of(study.stored_name).write_bytes(content)
        with pytest.raises(StudyNotThere, match="studied again"):
            files.open_workspace(study)

    def test_says_what_to_do_when_there_is_none(self) -> None:
        study = asked(planned_job())
        with pytest.raises(StudyNotThere):
            files.open_workspace(study)
        files.remove(finished(study).stored_name)
        with pytest.raises(StudyNotThere):
            files.open_workspace(study)


class TestAskUnasked:
    def test_finds_open_jobs_without_one(self, django_assert_num_queries: Any) -> None:
        jobs = [planned_job() for _ in range(3)]
        JobFactory()
        PieceStudy.objects.all().delete()
        assert ask_unasked() == 3
        assert set(PieceStudy.objects.values_list("piece__job", flat=True)) == {job.pk for job in jobs}
        with django_assert_num_queries(4):
            assert ask_unasked() == 0
