"""What can be promised: draws beside the present load."""

import pytest

from jobs.scheduling.problem import Person
from jobs.scheduling.promise import promise
from jobs.scheduling.search import Effort, best_schedule
from tests.benchmarks.scheduling.instances import studio_jobs
from tests.jobs.scheduling.builders import days, link, problem, task

ANN = Person(key="ann", hours=days(6))


class TestPromise:
    def test_is_the_earliest_end_where_nothing_spreads(self) -> None:
        made = problem((task("a.1", 2), task("a.2", 2)), (link("a.1", "a.2", 1),), people=(ANN,))
        found = promise(made, {}, "a", spread=0.0, samples=10)
        assert (found.even_chance, found.nine_in_ten, found.missed) == (13, 13, 0)

    def test_goes_beside_the_present_load_and_later_for_more_certainty(self) -> None:
        made = studio_jobs(3, 1)
        others = {
            key: entry for key, entry in best_schedule(made, Effort(seconds=0.3)).entries.items() if not key.startswith("j2")
        }
        found = promise(made, others, "j2", samples=20)
        alone = promise(made, {}, "j2", samples=20)
        assert found.even_chance is not None
        assert alone.even_chance is not None
        assert found.missed == 0
        # Of twenty draws, ten are done by the first day and eighteen by the second.
        assert (found.even_chance, found.nine_in_ten) == (found.ends[9], found.ends[17])
        assert found.ends[9] < found.ends[17]
        assert alone.even_chance <= found.even_chance
        assert len(found.ends) + found.missed == 20
        assert found == promise(made, others, "j2", samples=20)

    def test_has_no_day_beyond_the_horizon(self) -> None:
        made = problem(
            (task("a.1", 7), task("a.2", 7)), (link("a.1", "a.2", 1),), people=(Person(key="ann", hours=days(1)),), horizon=24
        )
        found = promise(made, {}, "a", samples=10)
        assert (found.even_chance, found.nine_in_ten, found.missed) == (None, None, 10)

    def test_refuses_a_spread_that_is_none(self) -> None:
        with pytest.raises(ValueError, match="from 0 to 1"):
            promise(problem((task("a.1"),)), {}, "a", spread=2.0)
