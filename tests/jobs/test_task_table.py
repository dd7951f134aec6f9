from dataclasses import dataclass

from jobs.task_table import TaskLine, runs_of
from studio.workrates import Stage


@dataclass
class Plain:
    """What the headings read of a task."""

    stage: Stage
    position: int | None = None


def headings(*tasks: Plain) -> list[tuple[str, int]]:
    lines = [TaskLine(task=task, after=(), earliest_h=0, latest_h=None, at_once=True) for task in tasks]  # type: ignore[arg-type]
    return [(heading, len(found)) for heading, found in runs_of(lines)]


class TestRunsOf:
    def test_heads_each_stage_once_where_they_follow_each_other(self) -> None:
        tasks = (Plain(Stage.PREPARE), Plain(Stage.COATS, 1), Plain(Stage.COATS, 1), Plain(Stage.SHELL))
        assert headings(*tasks) == [(Stage.PREPARE.label, 1), (Stage.COATS.label, 2), (Stage.SHELL.label, 1)]

    def test_names_the_position_where_stages_take_turns(self) -> None:
        tasks = (Plain(Stage.PREPARE), Plain(Stage.COATS, 1), Plain(Stage.PREPARE, 2), Plain(Stage.COATS, 2))
        prepare, coats = Stage.PREPARE.label, Stage.COATS.label
        assert headings(*tasks) == [
            (prepare, 1),
            (f"{coats}, position 1", 1),
            (f"{prepare}, position 2", 1),
            (f"{coats}, position 2", 1),
        ]

    def test_says_that_a_stage_goes_on(self) -> None:
        tasks = (Plain(Stage.PREPARE), Plain(Stage.SHELL), Plain(Stage.PREPARE))
        assert [heading for heading, _ in headings(*tasks)][-1] == f"{Stage.PREPARE.label}, continued"
