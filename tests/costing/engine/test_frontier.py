"""Ways held against each other: who is beaten by whom, ties, ranks, and what undominated ways are called."""

from dataclasses import replace

import pytest

from costing.engine.frontier.crossing import crossing_price, crossing_rate
from costing.engine.frontier.dominance import frontier_of, ranks
from costing.engine.frontier.names import bests, traits
from costing.engine.frontier.sums import WaySums
from costing.engine.frontier.takes import Hand, days_to_end, hours_by_hand, machine_hours
from jobs.planning.brief import Deairing, Making
from jobs.planning.plan import make_plan
from studio.figures import Given
from tests.costing.engine.builders import box_plan
from tests.jobs.planning.builders import brief as plan_brief


def way(number: int, hours: float, spend: float, kg: float = 0.0) -> WaySums:
    return WaySums(number=number, hours=hours, spend=spend, rubber_kg=kg)


class TestFrontierOf:
    def test_joins_what_none_beats_and_names_who_beats_the_others(self) -> None:
        found = frontier_of([way(1, 10, 50), way(2, 4, 90), way(3, 12, 60), way(4, 6, 50), way(5, 6, 50)], rate_per_h=10)
        assert found.joined == (2, 4)
        assert found.beaten == {1: 4, 3: 4}
        assert found.same == {5: 4}
        assert found.pairs == ((2, 4),)

    def test_of_several_that_beat_a_way_names_the_cheapest_at_the_rate(self) -> None:
        ways = [way(1, 2, 80), way(2, 8, 20), way(3, 9, 90)]
        assert frontier_of(ways, rate_per_h=1).beaten == {3: 2}
        assert frontier_of(ways, rate_per_h=100).beaten == {3: 1}

    def test_takes_one_way_and_none(self) -> None:
        assert frontier_of([way(1, 3, 4)]).joined == (1,)
        assert frontier_of([]).joined == ()


class TestRanks:
    def test_what_costs_the_same_to_the_coin_shares_a_rank(self) -> None:
        ways = [way(1, 1, 50.001), way(2, 2, 40), way(3, 0, 90)]
        assert ranks(ways, rate_per_h=10, step=0.01) == {1: 1, 2: 1, 3: 3}

    def test_at_no_rate_money_alone_counts(self) -> None:
        assert ranks([way(1, 1, 50), way(2, 99, 40)], rate_per_h=0, step=0.01) == {1: 2, 2: 1}


class TestCrossings:
    def test_there_is_none_where_both_take_as_much(self) -> None:
        assert crossing_rate(way(1, 3, 40), way(2, 3, 50)) is None
        assert crossing_rate(way(1, 3, 40), way(2, 4, 50)) is None
        assert crossing_price(way(1, 3, 40, 2), way(2, 4, 50, 2), rate_per_h=10, price_per_kg=20) is None
        # Below nought no rubber is sold.
        assert crossing_price(way(1, 3, 40, 2), way(2, 9, 90, 1), rate_per_h=-99, price_per_kg=0) is None


class TestNames:
    def test_says_what_each_is_best_at_and_in_what_it_differs(self) -> None:
        ways = [way(1, 1, 90), way(2, 5, 20), way(3, 9, 10)]
        frontier = frontier_of(ways)
        ranked = ranks(ways, rate_per_h=5, step=0.01)
        assert bests(ways, frontier, ranked, cheapest="cheapest") == {1: ("fewest hours",), 2: ("cheapest",), 3: ("least spent",)}
        assert bests(ways, frontier, ranked, cheapest="")[3] == ("least rubber",)
        assert bests(ways[:1], frontier_of(ways[:1]), ranked, cheapest="cheapest") == {}

    @pytest.mark.parametrize(
        ("changes", "words"),
        [
            ({"making": Making.POURED}, "poured instead of brushed"),
            ({"making": Making.BLOCK}, "a block instead of brushed"),
            ({"people_per_coat": 2}, "2 people brushing"),
            ({"molds": 3}, "3 molds"),
            ({"deairing": Deairing.VACUUM}, "under vacuum"),
            ({"casting": None}, "0 castings"),
            ({"thickener": None, "build_coats": 9, "thicken_print_coat": False}, "no thickener"),
            ({"temperature_c": Given(label="Room", value=29, unit="degC")}, "a warmer room"),
            ({"wall_mm": Given(label="Wall", value=20, unit="mm")}, "a thicker wall"),
            ({"scrap_share_percent": Given(label="Scrap", value=0, unit="%")}, "fresh rubber alone"),
        ],
    )
    def test_of_what_differs_from_the_plan_in_use(self, changes: dict[str, object], words: str) -> None:
        used = plan_brief()
        other = replace(used, **changes)
        assert traits(used, box_plan(), other, make_plan(other) if "scrap_share_percent" in changes else box_plan())[0] == words
        if "scrap_share_percent" in changes:
            assert traits(other, make_plan(other), used, box_plan())[0] == "scrap in the fill"

    def test_says_nothing_of_the_plan_in_use_itself(self) -> None:
        assert traits(plan_brief(), box_plan(), plan_brief(), box_plan()) == ()


class TestTakes:
    def test_hours_by_hand_add_up_to_all_hours_of_the_plan(self) -> None:
        plan = box_plan()
        first, second = plan.tasks[0].key, plan.tasks[1].key
        at = Given(label="Rate", value=30, unit="money/h")
        hands = {first: [Hand(name="Ida", share=0.25, rate=at), Hand(name="Bo", share=0.75, rate=at)],
                 second: [Hand(name="Bo", share=1.0, rate=at)]}  # fmt: skip
        found = hours_by_hand("way", plan.tasks, hands, Given(label="Labour rate", value=20, unit="money/h"))
        assert [hand.name for hand in found] == ["Bo", "Ida", "Nobody named yet"]
        assert sum(hand.hours.value for hand in found) == pytest.approx(plan.hours_hands_on.value)
        assert found[1].hours.value == pytest.approx(0.25 * plan.tasks[0].minutes.value / 60)
        assert found[2].pay.value == pytest.approx(20 * found[2].hours.value)

    def test_machines_are_held_by_their_tasks_alone(self) -> None:
        plan = box_plan()
        (frame,) = [one for one in machine_hours("way", plan.tasks) if one.label == "Rotating frame"]
        casting = next(task for task in plan.tasks if task.station == "rotating frame")
        assert frame.value == pytest.approx(casting.minutes.value / casting.people / 60)

    def test_days_end_with_the_last_task(self) -> None:
        plan = box_plan()
        assert days_to_end("way", plan).value * 24 >= max(task.earliest_h for task in plan.tasks)
