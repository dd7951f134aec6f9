"""Schedules made by hand: the plain list, and those that look ahead."""

import random

import pytest

from jobs.scheduling.by_hand import list_schedule, reinserted, starts_by_hand
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.layout import NEVER, Free
from jobs.scheduling.problem import Person, Station
from jobs.scheduling.result import cost_of, faults_of
from tests.benchmarks.scheduling.instances import studio_jobs
from tests.jobs.scheduling.builders import days, link, problem, task


class TestFree:
    def test_finds_the_first_stretch_that_is_long_enough(self) -> None:
        free = Free(((0, 4), (10, 20)))
        free.take(2, 3)
        assert free.spans == [(0, 2), (3, 4), (10, 20)]
        assert [free.next(0, 2), free.next(1, 2), free.next(0, 11), free.next(12, 8)] == [0, 10, NEVER, 12]

    def test_takes_over_the_edges_of_stretches(self) -> None:
        free = Free(((0, 4), (6, 9)))
        free.take(3, 7)
        assert free.spans == [(0, 3), (7, 9)]


class TestListSchedule:
    def test_begins_what_is_ready_first_and_lets_windows_close(self) -> None:
        ann = Person(key="ann", hours=days(3))
        made = problem((task("a.1", 4), task("a.2", 2)), (link("a.1", "a.2", 3, 6, 100),), people=(ann,))
        found = list_schedule(made)
        # Four hours from eight, three to set: the second no longer fits before four in the afternoon.
        assert (found.entries["a.1"].start, found.entries["a.2"].start) == (8, 32)
        assert len(found.breaches) == 1

    def test_refuses_what_fits_into_nobodys_hours(self) -> None:
        with pytest.raises(NobodyCan, match="finds no time"):
            list_schedule(problem((task("a.1", 9),), people=(Person(key="ann", hours=days(3)),)))

    def test_refuses_what_nobody_is_trained_for(self) -> None:
        with pytest.raises(NobodyCan, match="trained for resin"):
            list_schedule(problem((task("a.1", skill="resin"),)))

    def test_uses_a_place_by_as_many_as_it_holds(self) -> None:
        people = tuple(Person(key=key, hours=((0, 50),)) for key in "abc")
        tasks = tuple(task(f"{job}.1", 5, station="bench") for job in "xyz")
        found = list_schedule(problem(tasks, people=people, stations=(Station(key="bench", capacity=2),)))
        assert sorted(entry.start for entry in found.entries.values()) == [0, 0, 5]

    def test_leaves_a_place_to_what_turns_on_and_asks_nobody_whose_training_lapsed(self) -> None:
        ann = Person(key="ann", hours=((0, 50),), skills=frozenset({"resin"}), until={"resin": 4})
        ben = Person(key="ben", hours=((20, 50),), skills=frozenset({"resin"}))
        tasks = (
            task("x.1", 2, station="frame", holds=6),
            task("y.1", 2, station="frame", holds=45),
            task("z.1", 3, skill="resin"),
            task("w.1", 2, station="frame", pinned=8, holds=3),
        )
        made = problem(tasks, people=(ann, ben), stations=(Station(key="frame"),), horizon=50)
        found = list_schedule(made)
        assert faults_of(made, found.entries) == []
        # The second turns on beyond the last day.
        assert [found.entries[one.key].start for one in tasks] == [0, 11, 20, 8]


class TestLookingAhead:
    def test_waits_so_that_the_window_is_kept(self) -> None:
        ann = Person(key="ann", hours=days(3))
        made = problem((task("a.1", 4), task("a.2", 2)), (link("a.1", "a.2", 3, 16, 100),), people=(ann,))
        entries = next(starts_by_hand(made, random.Random(1), 1))
        assert cost_of(made, entries).breaches == 0
        assert entries["a.2"].start - entries["a.1"].end <= 16

    @pytest.mark.parametrize("seed", [1, 2, 3])
    def test_breaks_no_rule_and_fewer_windows_than_the_list(self, seed) -> None:
        made = studio_jobs(8, seed)
        plain = list_schedule(made)
        found = list(starts_by_hand(made, random.Random(seed), 4))
        assert faults_of(made, plain.entries) == []
        assert all(faults_of(made, entries) == [] for entries in found)
        assert min(cost_of(made, entries).breaches for entries in found) < plain.cost.breaches


class TestReinserted:
    def test_leaves_the_other_jobs_where_they_are(self) -> None:
        made = studio_jobs(4, 1)
        base = list_schedule(made).entries
        found = reinserted(made, base, ["j2", "j0"], visit_worth=60)
        assert found is not None
        assert faults_of(made, found) == []
        assert all(found[key] == entry for key, entry in base.items() if made.task[key].order in ("j1", "j3"))
