"""Little moves: what has to wait is put off, all else stays, and hands stay with whom they were promised."""

from dataclasses import replace

from jobs.scheduling.problem import Person
from jobs.scheduling.result import Entry, cost_of, faults_of
from jobs.scheduling.ripples import nearest, rippled
from tests.jobs.scheduling.builders import FREE, days, link, problem, task

ANN, BOB = Person(key="ann", hours=days(3)), Person(key="bob", hours=days(3))


def entry(key: str, start: int, end: int, who: str = "ann") -> Entry:
    return Entry(task=key, start=start, end=end, people=(who,))


def entries(*listed: Entry) -> dict[str, Entry]:
    return {one.task: one for one in listed}


class TestRippled:
    def test_puts_off_what_waits_and_nothing_else(self) -> None:
        late = task("a.2", 2, opens=12)
        made = problem(
            (task("a.1", 2), late, task("a.3"), task("a.4"), task("b.1", 2)),
            (link("a.1", "a.2"), link("a.2", "a.3", 1), link("a.3", "a.4")), people=(ANN, BOB),
        )  # fmt: skip
        stands = entries(
            entry("a.1", 8, 10), entry("a.2", 10, 12), entry("a.3", 13, 14), entry("a.4", 34, 35), entry("b.1", 12, 14, "bob")
        )
        found = rippled(made, stands, {"a.2"})
        assert found is not None
        assert faults_of(made, found) == []
        # The next waits for it; what came a day later, what came before and the other job stay.
        assert {key: one.start for key, one in found.items()} == {"a.1": 8, "a.2": 12, "a.3": 15, "a.4": 34, "b.1": 12}

    def test_says_when_something_finds_no_place(self) -> None:
        made = problem((task("a.1", 2, opens=75), task("a.2", 8)), (link("a.1", "a.2"),), people=(ANN,), horizon=80)
        assert rippled(made, entries(entry("a.1", 8, 10), entry("a.2", 32, 40)), {"a.1"}) is None


class TestNearest:
    def test_gives_hands_back_in_exchange(self) -> None:
        made = problem((task("a.1", 2), task("b.1", 2)), people=(ANN, BOB), weights=FREE)
        promised = entries(entry("a.1", 8, 10, "ann"), entry("b.1", 9, 11, "bob"))
        swapped = entries(entry("a.1", 8, 10, "bob"), entry("b.1", 9, 11, "ann"))
        assert nearest(made, swapped, promised) == promised

    def test_takes_nobody_from_a_task_that_has_its_own_hands(self) -> None:
        made = problem((task("a.1", 2), task("b.1", 2)), people=(ANN, BOB), weights=FREE)
        promised = entries(entry("a.1", 12, 14, "ann"), entry("b.1", 8, 10, "ann"))
        now = entries(entry("a.1", 9, 11, "bob"), entry("b.1", 8, 10, "ann"))
        assert nearest(made, now, promised) == now

    def test_puts_back_what_moved_for_nothing(self) -> None:
        made = problem(
            (task("a.1", 2), task("a.2", 2)),
            (link("a.1", "a.2"),),
            people=(ANN, BOB),
            before={"a.1": 8, "a.2": 12},
            weights=replace(FREE, moved=4),
        )
        promised = entries(entry("a.1", 8, 10, "ann"), entry("a.2", 12, 14, "ann"))
        now = entries(entry("a.1", 9, 11, "bob"), entry("a.2", 12, 14, "ann"))
        found = nearest(made, now, promised)
        assert found == promised
        assert cost_of(made, found).total < cost_of(made, now).total
