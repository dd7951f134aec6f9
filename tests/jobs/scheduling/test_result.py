"""What a schedule costs and what it may not do."""

import pytest

from jobs.scheduling.problem import Person, Station, Weights
from jobs.scheduling.result import Entry, Schedule, breaches_of, cost_of, faults_of, schedule_of, sessions_of, unevenness
from tests.jobs.scheduling.builders import FREE, link, problem, task

ANN = Person(key="ann", hours=((8, 16),), visits=((18, 20),), skills=frozenset({"resin"}))
BEN = Person(key="ben", hours=((8, 16),))


def entry(key: str, start: int, end: int, *people: str) -> Entry:
    return Entry(task=key, start=start, end=end, people=people or ("ann",))


def entries(*every: Entry) -> dict[str, Entry]:
    return {one.task: one for one in every}


class TestCost:
    def test_adds_its_parts(self) -> None:
        made = problem((task("a.1", 2), task("a.2", 2)), (link("a.1", "a.2", 1, 3, 50),), people=(ANN, BEN), due=18)
        found = cost_of(made, entries(entry("a.1", 8, 10), entry("a.2", 18, 20)))
        # Two steps late at 20 each; 20 from the opening; the last end; one window; one visit; ann has 4 h more than ben.
        assert (found.late, found.lead, found.span, found.breaches, found.visits, found.uneven) == (40, 20, 20, 50, 120, 4)
        assert found.total == 40 + 20 + 20 + 50 + 120 + 4

    def test_counts_tasks_that_leave_their_promised_start(self) -> None:
        made = problem((task("a.1"), task("a.2")), people=(ANN,), before={"a.1": 8, "a.2": 8}, weights=Weights(moved=7))
        assert cost_of(made, entries(entry("a.1", 8, 9), entry("a.2", 9, 10))).moved == 7

    def test_counts_the_gap_to_the_bound(self) -> None:
        made = problem((task("a.1"),), people=(ANN,), weights=Weights(visit=0))
        found = schedule_of(made, entries(entry("a.1", 8, 9)), bound=9)
        assert isinstance(found, Schedule)
        assert found.cost.total == 18
        assert found.gap == pytest.approx(0.5)


class TestSessions:
    def test_joins_what_the_same_people_do_back_to_back(self) -> None:
        tasks = (task("a.1", session="r"), task("b.1", session="r"), task("c.1", session="r"), task("d.1", session="q"))
        made = problem(tasks, people=(ANN, BEN))
        laid = entries(entry("a.1", 8, 9), entry("b.1", 9, 10), entry("c.1", 10, 11, "ben"), entry("d.1", 10, 11))
        assert sessions_of(made, laid) == 3


class TestUnevenness:
    def test_leaves_out_people_without_hours(self) -> None:
        made = problem((task("a.1", 3),), people=(ANN, BEN, Person(key="cat")))
        assert unevenness(made, entries(entry("a.1", 8, 11))) == 3
        assert unevenness(problem((task("a.1", 3),), people=(ANN, Person(key="cat"))), entries(entry("a.1", 8, 11))) == 0


class TestBreaches:
    def test_tells_by_how_much_a_window_is_missed(self) -> None:
        made = problem((task("a.1"), task("a.2")), (link("a.1", "a.2", 0, 2, 9),), people=(ANN,))
        assert [late.late for late in breaches_of(made, entries(entry("a.1", 8, 9), entry("a.2", 14, 15)))] == [3]


class TestFaults:
    @pytest.mark.parametrize(
        ("one", "other", "words"),
        [
            (entry("a.1", 8, 10), entry("a.2", 9, 10), "at once"),
            (entry("a.1", 8, 10), entry("a.2", 10, 11), "has set"),
            (entry("a.1", 7, 9), entry("a.2", 12, 13), "is not there"),
            (entry("a.1", 8, 9), entry("a.2", 12, 13), "take its time"),
            (entry("a.1", 8, 10), entry("a.2", 18, 19), "is not there"),
            (entry("a.1", 8, 10), entry("a.2", 12, 13, "ben"), "not trained"),
            (entry("a.1", 8, 10), entry("a.2", 12, 13, "ann", "ben"), "not done by"),
            (entry("a.1", 8, 10), entry("a.2", 15, 16), "may not be broken"),
            (entry("a.1", 8, 10, "ben"), entry("a.2", 12, 13), ""),
        ],
    )
    def test_are_named(self, one, other, words) -> None:
        made = problem(
            (task("a.1", 2), task("a.2", skill="resin", by_day=True)),
            (link("a.1", "a.2", 1, 4),),
            people=(ANN, BEN),
            weights=FREE,
        )
        faults = faults_of(made, entries(one, other))
        assert any(words in fault for fault in faults) if words else faults == []

    def test_count_what_a_place_holds(self) -> None:
        made = problem(
            (task("a.1", 2, station="frame"), task("b.1", 2, station="frame")),
            people=(ANN, BEN),
            stations=(Station(key="frame"),),
        )
        assert any("frame" in fault for fault in faults_of(made, entries(entry("a.1", 8, 10), entry("b.1", 9, 11, "ben"))))

    def test_count_what_turns_on_and_when_training_lapsed(self) -> None:
        cat = Person(key="cat", hours=((8, 16),), skills=frozenset({"resin"}), until={"resin": 10})
        made = problem(
            (task("a.1", 2, station="frame", holds=4), task("b.1", 2, station="frame", skill="resin")),
            people=(ANN, cat),
            stations=(Station(key="frame"),),
        )
        assert any("frame" in fault for fault in faults_of(made, entries(entry("b.1", 11, 13), entry("a.1", 8, 10))))
        assert faults_of(made, entries(entry("a.1", 8, 10), entry("b.1", 12, 14))) == []
        late = faults_of(made, entries(entry("a.1", 10, 12), entry("b.1", 8, 10, "cat")))
        assert late == []
        assert faults_of(made, entries(entry("a.1", 12, 14), entry("b.1", 9, 11, "cat"))) == ["cat is not trained for b.1"]

    def test_leave_what_has_begun_as_it_is_but_keep_the_rest_off_it(self) -> None:
        old = {"begun": True, "held_by": ("ann",), "station": "frame"}
        made = problem(
            (task("a.1", 4, pinned=1, **old), task("a.2", 1, pinned=2, **old), task("b.1", 1), task("b.2", 1, station="frame")),
            (link("a.1", "a.2", 1),), people=(Person(key="ann", hours=((0, 16),)), BEN), stations=(Station(key="frame"),),
        )  # fmt: skip
        begun = (entry("a.1", 1, 5), entry("a.2", 2, 3))
        assert faults_of(made, entries(*begun, entry("b.1", 5, 6), entry("b.2", 6, 7))) == []
        assert faults_of(made, entries(*begun, entry("b.1", 4, 5), entry("b.2", 6, 7))) == ["ann does a.1 and b.1 at once"]
        assert any("frame" in fault for fault in faults_of(made, entries(*begun, entry("b.1", 5, 6), entry("b.2", 4, 5, "ben"))))

    def test_miss_nothing(self) -> None:
        assert faults_of(problem((task("a.1"),)), {}) == ["a.1 is not laid out"]
