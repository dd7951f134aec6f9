"""No bound lies above what a schedule costs, and each is right where it can be counted by hand."""

from jobs.scheduling.bounds import earliest_ends, load_floor, shared_floor
from jobs.scheduling.model_sessions import fewest_sessions
from jobs.scheduling.problem import Lag, Link, Person, Weights
from jobs.scheduling.search import Effort, best_schedule
from tests.jobs.scheduling.builders import days, link, problem, task

ANN = Person(key="ann", hours=days(4))


class TestEarliestEnds:
    def test_go_over_nights(self) -> None:
        made = problem((task("a.1", 6), task("a.2", 3)), (link("a.1", "a.2", 1),), people=(ANN,))
        # From eight to two, an hour to set; three hours no longer fit that day.
        assert earliest_ends(made) == {"a": 24 + 8 + 3}

    def test_take_the_shortest_wait_that_is_still_to_come(self) -> None:
        wait = Link(before="a.1", after="a.2", least=Lag(by_hour=(9,) * 10 + (5, 3)))
        made = problem((task("a.1", 2), task("a.2", 1)), (wait,), people=(Person(key="ann", hours=((0, 90),)),))
        assert earliest_ends(made) == {"a": 2 + 3 + 1}


class TestLoadFloor:
    def test_counts_work_against_hours(self) -> None:
        # Three jobs of six hours, one person for eight hours a day: ends at 14, 12 h of work by 24 + 12, 18 h by 48 + 10.
        tasks = tuple(task(f"{job}.1", 6) for job in "abc")
        made = problem(tasks, people=(ANN,), due=30, weights=Weights(late=10, lead=1))
        assert load_floor(made) == 14 + 36 + 58 + 10 * (6 + 28)

    def test_lies_below_the_best(self) -> None:
        tasks = tuple(task(f"{job}.1", 6) for job in "abc")
        made = problem(tasks, people=(ANN,), due=30)
        found = best_schedule(made, Effort(seconds=2))
        assert load_floor(made) + shared_floor(made) <= found.cost.total == found.bound


class TestFewestSessions:
    def test_counts_waits_that_nobody_elses_coats_can_fill(self) -> None:
        tasks = (task("a.1", session="r"), task("a.2", session="r"), task("b.1", session="r"), task("b.2", session="q"))
        assert fewest_sessions(problem(tasks, (link("a.1", "a.2", 2),))) == {"r": 2, "q": 1}
        # The other job's hour fills a wait of an hour: a coat, the other's coat, and a coat again from one mixing.
        assert fewest_sessions(problem(tasks, (link("a.1", "a.2", 1),))) == {"r": 1, "q": 1}
        assert fewest_sessions(problem(tasks)) == {"r": 1, "q": 1}

    def test_mixes_once_for_a_coat_between_two_of_another_job(self) -> None:
        tasks = (task("a.1", session="r"), task("a.2", session="r"), task("b.1", session="r"))
        made = problem(tasks, (link("a.1", "a.2", 1),), people=(ANN,))
        found = best_schedule(made, Effort(seconds=2))
        assert found.cost.sessions == made.weights.session
        assert found.entries["b.1"].start == found.entries["a.1"].end
