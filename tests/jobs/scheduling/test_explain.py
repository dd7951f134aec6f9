"""Why a day cannot be kept: the rule that stands in the way is named, and remedies tell what they do."""

from dataclasses import replace

from jobs.scheduling.explain import Rule, explain
from jobs.scheduling.problem import Person, Problem
from jobs.scheduling.result import Entry
from jobs.scheduling.search import Effort, best_schedule
from tests.jobs.scheduling.builders import days, link, problem, task

ANN = Person(key="ann", hours=days(5))


def clock(step: int) -> str:
    return f"day {step // 24} {step % 24:02d}:00"


def entries(made: Problem) -> dict[str, Entry]:
    return dict(best_schedule(made, Effort(seconds=1)).entries)


class TestExplain:
    def test_names_the_window_that_closes_while_nobody_works(self) -> None:
        # Six hours from eight leave two to four o'clock; four to set and six until the window closes: it closes at ten at night
        # at the latest, when a coat of six hours ends at four.
        made = problem((task("a.1", 6, session="r"), task("a.2", 2)), (link("a.1", "a.2", 4, 6, 300),), people=(ANN,), due=96)
        found = explain(made, entries(made), "a", clock=clock)
        assert found is not None
        assert found.sentence == (
            "For “A” to be done by day 4 00:00, the window after “a.1” closes day 3 22:00 at the latest, "
            "and nobody works then to begin “a.2”."
        )
        assert {cause.rule for cause in found.causes} <= {Rule.WINDOW, Rule.HOURS, Rule.WAIT, Rule.DAY}
        helps = {one.key: one.helps for one in found.remedies}
        # An evening reaches from four to eight; one more person in the same hours is no help.
        assert helps["evening"] is True
        assert helps["second_person"] is False
        assert found.remedies[0].helps

    def test_says_when_work_and_waits_take_too_long(self) -> None:
        made = problem((task("a.1", 6), task("a.2", 6)), (link("a.1", "a.2", 20),), people=(ANN,), due=30)
        found = explain(made, entries(made), "a", clock=clock)
        assert found is not None
        # Two o'clock and twenty hours is ten o'clock; six hours from then is four in the afternoon.
        assert "is done day 1 16:00 at the earliest even if nobody had anything else to do" in found.sentence
        assert next(one for one in found.remedies if one.key == "day_more").helps

    def test_says_when_other_jobs_are_in_the_way(self) -> None:
        made = problem((task("a.1", 6), task("b.1", 8)), people=(ANN,), due=24)
        laid = {
            "b.1": Entry(task="b.1", start=8, end=16, people=("ann",)),
            "a.1": Entry(task="a.1", start=32, end=38, people=("ann",)),
        }
        found = explain(made, laid, "a", clock=clock)
        assert found is not None
        assert Rule.OTHERS in {cause.rule for cause in found.causes}
        assert "beside the other jobs" in found.sentence
        assert next(one for one in found.remedies if one.key == "second_person").helps

    def test_says_nothing_where_the_day_can_be_kept(self) -> None:
        made = problem((task("a.1", 6),), people=(ANN,), due=24)
        assert explain(made, entries(made), "a", clock=clock) is None
        assert explain(replace(made, orders=(replace(made.orders[0], due=None),)), entries(made), "a", clock=clock) is None
