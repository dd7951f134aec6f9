"""A problem of the scheduling core as plain JSON and back, so that what was laid out can be looked at later."""

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any, TypeVar

from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Lag, Link, Order, Person, Problem, Span, Station, Task, Weights

VERSION = 1
UNREADABLE = "What was laid out then cannot be read by this version any more; plan the days anew."
_Value = TypeVar("_Value", Order, Task, Station, Weights)


def problem_to_json(problem: Problem) -> dict[str, Any]:
    """Return a problem as JSON; waits that many links share are written once."""
    lags: dict[tuple[int, ...], int] = {}

    def place(lag: Lag | None) -> int | None:
        return None if lag is None else lags.setdefault(lag.by_hour, len(lags))

    links = [
        {
            "before": link.before, "after": link.after, "least": place(link.least), "most": place(link.most),
            "breach": link.breach, "remedy": link.remedy,
        }
        for link in problem.links
    ]  # fmt: skip
    return {
        "version": VERSION,
        "horizon": problem.horizon,
        "step_min": problem.step_min,
        "orders": [_plain(order) for order in problem.orders],
        "tasks": [_plain(task) for task in problem.tasks],
        "links": links,
        "lags": [list(by_hour) for by_hour in lags],
        "people": [_person_to_json(person) for person in problem.people],
        "stations": [_plain(station) for station in problem.stations],
        "weights": _plain(problem.weights),
        "before": dict(problem.before),
    }


def problem_from_json(content: Mapping[str, Any]) -> Problem:
    """Read a problem again.

    Raises
    ------
    BadProblem
        When it was written by another version or was damaged.
    """
    if content.get("version") != VERSION:
        raise BadProblem(UNREADABLE)
    try:
        lags = [Lag(by_hour=tuple(by_hour)) for by_hour in content["lags"]]
        return Problem(
            orders=tuple(_read(Order, one) for one in content["orders"]),
            tasks=tuple(_read(Task, one) for one in content["tasks"]),
            links=tuple(
                Link(
                    before=one["before"], after=one["after"], least=lags[one["least"]],
                    most=None if one["most"] is None else lags[one["most"]], breach=one["breach"], remedy=one["remedy"],
                )
                for one in content["links"]
            ),
            people=tuple(_person(one) for one in content["people"]),
            stations=tuple(_read(Station, one) for one in content["stations"]),
            horizon=content["horizon"],
            step_min=content["step_min"],
            weights=_read(Weights, content["weights"]),
            before=dict(content["before"]),
        )  # fmt: skip
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise BadProblem(UNREADABLE) from error


def _plain(value: Any) -> dict[str, Any]:
    """Return the fields of a flat value that differ from their defaults, tuples as lists."""
    found = {}
    for one in fields(value):
        own = getattr(value, one.name)
        if own != one.default:
            found[one.name] = list(own) if isinstance(own, tuple) else own
    return found


def _read(kind: Callable[..., _Value], content: Mapping[str, Any]) -> _Value:
    return kind(**{name: tuple(own) if isinstance(own, list) else own for name, own in content.items()})


def _person_to_json(person: Person) -> dict[str, Any]:
    return {
        "key": person.key, "label": person.label, "hours": [list(span) for span in person.hours],
        "visits": [list(span) for span in person.visits], "skills": sorted(person.skills), "until": dict(person.until),
    }  # fmt: skip


def _person(content: Mapping[str, Any]) -> Person:
    return Person(
        key=content["key"], label=content["label"], hours=_spans(content["hours"]), visits=_spans(content["visits"]),
        skills=frozenset(content["skills"]), until=dict(content["until"]),
    )  # fmt: skip


def _spans(content: list[list[int]]) -> tuple[Span, ...]:
    return tuple((opens, closes) for opens, closes in content)
