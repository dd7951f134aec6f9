"""What the limited process adds to a study of tape readings; the study itself is made elsewhere."""

import os
from pathlib import Path
from typing import Any

import pytest

from jobs.geometry import study_worker, walls_try
from jobs.geometry.extras import Solid, SolidKind
from jobs.geometry.stack import Girth
from jobs.geometry.study import run, workspace
from jobs.geometry.study.brief import StudyBrief
from jobs.geometry.study.store import brief_to_json, study_from_json
from jobs.geometry.tape import TapeBrief
from jobs.geometry.tape_store import tape_to_json
from tests.jobs.studies.found import study

BRIEF = StudyBrief(
    wall_mm=9.5,
    on_board=True,
    shell_mm=3,
    pieces=2,
    pulls=(),
    parting=None,
    rank=0,
    slope_limit_deg=50,
    chunk_edge_mm=20,
    cover_mm=5,
)
POST = (Girth(girth_mm=400, along_mm=300), Girth(girth_mm=400))


@pytest.fixture
def answered(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    """Answer a request with a study that found what every study in these tests finds."""
    monkeypatch.setattr(run, "run_study", lambda measure, brief, report: (study(taken=None), None))
    monkeypatch.setattr(workspace, "save_workspace", lambda stream, kept: None)
    monkeypatch.setattr(walls_try, "walls_if_possible", lambda measure, processor_s: None)

    def answer(tape: TapeBrief) -> Any:
        handle = os.open(tmp_path / "drawings", os.O_WRONLY | os.O_CREAT)
        try:
            told = study_worker._answer({"tape": tape_to_json(tape), "brief": brief_to_json(BRIEF), "drawings": handle}, 0)
        finally:
            os.close(handle)
        return study_from_json(told["study"])

    return answer


def test_what_is_to_be_said_of_the_drawn_shape_comes_with_the_study(answered: Any) -> None:
    knob = Solid(kind=SolidKind.SPHERE, dimensions_mm=(60.0,), count=2)
    assert [remark.key for remark in answered(TapeBrief(girths=POST, solids=(knob,))).remarks] == ["tape_set_around"]


def test_a_plain_body_needs_no_word(answered: Any) -> None:
    assert answered(TapeBrief(girths=POST)).remarks == ()
