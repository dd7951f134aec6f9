"""Earliest and latest begins of tasks beside a published worked example and another library's shortest paths."""

from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.plan import make_plan
from jobs.planning.results import Task
from jobs.planning.work.times import network_times
from studio.figures import Figure
from studio.workrates import Stage
from tests.jobs.planning.builders import brief

ROOT = "root"


def task(key: str, minutes: float, waits_for: tuple[str, ...] = (), *, wait: float = 0.0, latest: float | None = None) -> Task:
    """Return a task that takes so many minutes of one person."""
    figure = Figure(key=key, label=key, value=minutes, unit="min", formula="typed")
    return Task(
        key=key, label=key, stage=Stage.COATS, minutes=figure, waits_for=waits_for, wait_after_min=wait, latest_next_min=latest
    )  # fmt: skip


def gaps_of(tasks: list[Task]) -> "nx.DiGraph[str]":
    """Return the network with gaps as lengths of less than nought, so that a shortest path is the longest wait."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    by_key = {task.key: task for task in tasks}
    for after in tasks:
        graph.add_edge(ROOT, after.key, weight=0.0)
        for key in after.waits_for:
            before = by_key[key]
            graph.add_edge(key, after.key, weight=-(before.minutes.value + before.wait_after_min))
            if before.latest_next_min is not None:
                graph.add_edge(after.key, key, weight=before.minutes.value + before.latest_next_min)
    return graph


def longest_from(graph: "nx.DiGraph[str]", source: str) -> dict[str, float]:
    """Return the longest way from a task to each that depends on it."""
    found = nx.single_source_bellman_ford_path_length(graph, source, weight="weight")
    return {key: -length for key, length in found.items()}


class TestPublished:
    def test_seven_activities_of_a_prototype(self) -> None:
        # Published: a university course's worked example of the critical path method, seven activities in 16 hours.
        activities = [
            task("A", 6), task("B", 2, ("A",)), task("C", 2, ("A",)), task("D", 3, ("B",)), task("F", 2, ("C",)),
            task("E", 4, ("D", "F")), task("G", 1, ("E",)),
        ]  # fmt: skip
        found = network_times(activities)
        assert found.earliest == {"A": 0, "B": 6, "C": 6, "D": 8, "F": 8, "E": 11, "G": 15}
        assert found.latest == {"A": 0, "B": 6, "C": 7, "D": 8, "F": 9, "E": 11, "G": 15}


@st.composite
def networks(draw: st.DrawFn) -> list[Task]:
    """Draw up to nine tasks, each waiting for some before it, some with a window."""
    tasks: list[Task] = []
    for number in range(draw(st.integers(1, 9))):
        keys = [before.key for before in tasks]
        chosen = draw(st.lists(st.sampled_from(keys), unique=True, max_size=3)) if keys else []
        wait = draw(st.integers(0, 60))
        window = draw(st.none() | st.integers(0, 120))
        latest = None if window is None else wait + window
        tasks.append(task(f"t{number}", draw(st.integers(1, 90)), tuple(chosen), wait=wait, latest=latest))
    return tasks


class TestBesideNetworkx:
    """Calculated: networkx's Bellman-Ford over the same gaps."""

    @settings(max_examples=80, deadline=None)
    @drawn(networks())
    def test_earliest_and_latest(self, tasks: list[Task]) -> None:
        graph, found = gaps_of(tasks), network_times(tasks)
        try:
            longest = longest_from(graph, ROOT)
        except nx.NetworkXUnbounded:
            assert found.broken
            return
        assert not found.broken
        assert found.earliest == pytest.approx({task.key: longest[task.key] for task in tasks})
        end = max(longest[task.key] + task.minutes.value + task.wait_after_min for task in tasks)
        for one in tasks:
            to_end = longest_from(graph, one.key)
            tail = max(to_end[other.key] + other.minutes.value + other.wait_after_min for other in tasks if other.key in to_end)
            assert found.latest[one.key] == pytest.approx(end - tail)

    @settings(max_examples=60, deadline=None)
    @drawn(networks())
    def test_leaves_out_no_window_that_could_be_kept(self, tasks: list[Task]) -> None:
        found = network_times(tasks)
        graph = gaps_of(tasks)
        if not found.broken:
            assert not nx.negative_edge_cycle(graph)
            return
        assert nx.negative_edge_cycle(graph)
        loosened = [replace(one, latest_next_min=None) if one.key in found.broken else one for one in tasks]
        assert not nx.negative_edge_cycle(gaps_of(loosened))
        for one in tasks:
            assert found.latest[one.key] >= found.earliest[one.key] - 1e-3

    def test_a_whole_plan(self) -> None:
        # The run lasts as long as its cycles, which the other library is not told: without castings both know the same.
        tasks = list(make_plan(brief(positions=3, casting=None)).tasks)
        longest = longest_from(gaps_of(tasks), ROOT)
        found = {task.key: 60 * task.earliest_h for task in tasks}
        assert found == pytest.approx({task.key: longest[task.key] for task in tasks})
