"""Planning anew: what has begun stays, little moves, and everything that moved is told with its reason."""

from functools import cache

import pytest

from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Person, Problem, Station
from jobs.scheduling.replan import News, replan, with_news
from jobs.scheduling.result import Entry, Schedule, faults_of
from jobs.scheduling.search import Effort, best_schedule
from tests.benchmarks.scheduling.instances import DAY, HOUR, studio_jobs
from tests.jobs.scheduling.builders import days, link, problem, task

SHORT = Effort(seconds=0.4)


@cache
def planned() -> tuple[Problem, Schedule]:
    made = studio_jobs(4, 1)
    return made, best_schedule(made, Effort(seconds=0.3))


class TestReplan:
    def test_moves_little_for_one_coat_three_hours_late(self) -> None:
        made, plan = planned()
        coat = next(plan.entries[key] for key in ("j0.coat1", "j1.coat1"))
        found = replan(made, plan.entries, News(now=coat.start, not_before={coat.task: coat.start + 3 * HOUR}), effort=SHORT)
        entries = found.schedule.entries
        assert faults_of(found.problem, entries) == []
        assert entries[coat.task].start >= coat.start + 3 * HOUR
        assert all(entries[key] == entry for key, entry in plan.entries.items() if entry.start < coat.start)
        assert {one.task for one in found.moved} == {key for key in entries if entries[key] != plan.entries[key]}
        assert 1 <= len(found.moved) < len(found.problem.before) / 2
        assert next(one for one in found.moved if one.task == coat.task).why == "It cannot begin before then."

    def test_gives_work_to_others_when_somebody_is_away(self) -> None:
        made, plan = planned()
        day = plan.entries["j0.coat1"].start // DAY
        away = (day * DAY, (day + 1) * DAY)
        found = replan(made, plan.entries, News(now=away[0], away={"p0": (away,)}), effort=SHORT)
        assert faults_of(found.problem, found.schedule.entries) == []
        there = [entry for entry in found.schedule.entries.values() if "p0" in entry.people and entry.start >= away[0]]
        assert all(entry.start >= away[1] for entry in there)
        assert any("is not there then" in one.why for one in found.moved)

    def test_changes_nothing_without_news(self) -> None:
        made, plan = planned()
        found = replan(made, plan.entries, News(now=0), effort=Effort(seconds=0.2))
        assert found.schedule.cost.moved <= 2 * found.problem.weights.moved

    def test_tells_each_jobs_end_before_and_after(self) -> None:
        ann = Person(key="ann", hours=days(4))
        made = problem((task("a.1", 2), task("a.2", 2)), (link("a.1", "a.2", 1),), people=(ann,))
        plan = best_schedule(made, Effort(seconds=1))
        found = replan(
            made, plan.entries, News(now=9, begun={"a.1": Entry(task="a.1", start=8, end=14, people=("ann",))}), effort=SHORT
        )
        assert plan.entries["a.2"].end == 13
        assert found.ends == {"a": (13, 32 + 2)}
        assert [(one.task, one.why) for one in found.moved] == [("a.2", "It waits for “a.1”.")]

    def test_takes_what_was_done_at_once_as_it_was(self) -> None:
        ann, ben = (Person(key=key, hours=days(4)) for key in ("ann", "ben"))
        tasks = (
            task("a.1", 2, station="frame", holds=4),
            task("b.1", 2, station="frame", holds=4),
            task("b.2", 1, station="frame"),
        )
        made = problem(tasks, people=(ann, ben), stations=(Station(key="frame"),))
        plan = best_schedule(made, Effort(seconds=1))
        begun = {key: Entry(task=key, start=8 + late, end=11 + late, people=("ann",)) for late, key in enumerate(("a.1", "b.1"))}
        found = replan(made, plan.entries, News(now=12, begun=begun), effort=SHORT)
        assert faults_of(found.problem, found.schedule.entries) == []
        assert {key: found.schedule.entries[key] for key in begun} == begun
        # Three hours from nine, and two more for which it turns, as planned.
        assert found.schedule.entries["b.2"].start == 14


class TestWithNews:
    def test_leaves_what_waits_for_a_late_task_unbegun(self) -> None:
        made = problem((task("a.1"), task("a.2")), (link("a.1", "a.2"),))
        promised = {
            "a.1": Entry(task="a.1", start=0, end=1, people=("ann",)),
            "a.2": Entry(task="a.2", start=1, end=2, people=("ann",)),
        }
        fresh = with_news(made, promised, News(now=5, not_before={"a.1": 9}))
        assert [one.pinned for one in fresh.tasks] == [None, None]
        assert [one.opens for one in fresh.tasks] == [9, 5]
        assert with_news(made, promised, News(now=5)).task["a.2"].pinned == 1

    def test_refuses_news_that_contradict_the_plan(self) -> None:
        made = problem((task("a.1"), task("a.2")), (link("a.1", "a.2"),))
        with pytest.raises(BadProblem, match="which it waits for, has not"):
            with_news(made, {}, News(now=5, begun={"a.2": Entry(task="a.2", start=1, end=2, people=("ann",))}))
        with pytest.raises(BadProblem, match="not in the plan"):
            with_news(made, {}, News(now=5, away={"zoe": ((0, 9),)}))
