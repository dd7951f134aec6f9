"""A problem that is kept is the problem that was laid out."""

import json
from dataclasses import fields, replace

import pytest

from jobs.days.freezing import problem_from_json, problem_to_json
from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Lag, Link, Order, Person, Problem, Station, Task, Weights
from tests.benchmarks.scheduling.instances import studio_jobs

# Every field of every value differs from its default, so that one that is forgotten shows.
WHOLE = Problem(
    orders=(Order(key="1", label="101 Heron", opens=3, due=90, weight=2),),
    tasks=(
        Task(key="1:a", order="1", steps=4, label="Coat", people=2, skill="isocyanates", station="frame", holds=9,
             session="7", by_day=True, opens=5, pinned=6, held_by=("2", "3"), begun=True),
        Task(key="1:b", order="1", steps=1),
    ),
    links=(Link(before="1:a", after="1:b", least=Lag(by_hour=(1, 2)), most=Lag(by_hour=(5, 6)), breach=400, remedy="Abrade"),),
    people=(
        Person(key="2", label="Ann", hours=((0, 9), (12, 20)), visits=((30, 40),), skills=frozenset({"a", "b"}), until={"a": 7}),
        Person(key="3"),
    ),
    stations=(Station(key="frame", label="Rotating frame", capacity=2),),
    horizon=400,
    step_min=10,
    weights=Weights(late=1, lead=2, span=3, visit=4, session=5, moved=6, uneven=7),
    before={"1:a": 6},
)  # fmt: skip


class TestProblemToJson:
    @pytest.mark.parametrize("problem", [WHOLE, studio_jobs(3, 1)], ids=["every field", "three jobs"])
    def test_comes_back_the_same(self, problem) -> None:
        assert problem_from_json(json.loads(json.dumps(problem_to_json(problem)))) == problem

    def test_is_tried_with_every_field(self) -> None:
        for value in (WHOLE.orders[0], WHOLE.tasks[0], WHOLE.links[0], WHOLE.people[0], WHOLE.stations[0], WHOLE.weights):
            same = [one.name for one in fields(value) if getattr(value, one.name) == one.default]
            assert same == [], f"{type(value).__name__}: give these another value above"

    def test_writes_shared_waits_once(self) -> None:
        twice = replace(WHOLE, links=WHOLE.links * 2)
        assert problem_to_json(twice)["lags"] == [[1, 2], [5, 6]]

    @pytest.mark.parametrize("change", [{"version": 0}, {"lags": []}, {"tasks": [{"colour": "red"}]}, {"people": None}])
    def test_refuses_what_it_did_not_write(self, change) -> None:
        with pytest.raises(BadProblem, match="plan the days anew"):
            problem_from_json({**problem_to_json(WHOLE), **change})
