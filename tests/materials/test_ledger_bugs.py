"""Bugs planted in the ledger, each of which the model beside it must find."""

import random
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from materials.ledger import costs, methods, moves, together, undoing, writing
from materials.ledger.writing import Line
from tests.materials.ledger_play import JOBS, KINDS, Play, Step

D = Decimal
Plant = Callable[[pytest.MonkeyPatch], None]


def _line(module: Any, change: Callable[[Line], Line]) -> Plant:
    """Let a module plan its lines with a fault."""

    class Wrong:
        def __new__(cls, **told: Any) -> Any:
            return change(Line(**told))

    return lambda patch: patch.setattr(module, "Line", Wrong)


def _undone(change: Callable[[Line], Line]) -> Plant:
    right = undoing._undoing
    return lambda patch: patch.setattr(undoing, "_undoing", lambda *told: change(right(*told)))


def _name(module: Any, name: str, wrong: Any) -> Plant:
    return lambda patch: patch.setattr(module, name, wrong)


class _NoLayers:
    """Layers that are never put down."""

    class objects:
        filter = staticmethod(methods.CostLayer.objects.filter)
        create = staticmethod(lambda **_told: None)


_enter, _layers, _together = costs.enter, costs._layers, together.written_together
BUGS: dict[str, Plant] = {
    "a use takes what is promised to others": _name(moves, "must_be_free", lambda *_told: None),
    "a use leaves the promise standing": _name(moves, "reserved_for", lambda **_told: D(0)),
    "more comes back than was used": _name(moves, "used_at_cost", lambda **_told: (D(10**6), D(0))),
    "what comes back costs nothing": _name(moves, "part_of", lambda *_told, **_named: D(0)),
    "a line goes into the wrong direction": _line(moves, lambda line: replace(line, mass_g=abs(line.mass_g))),
    "use is not counted as use": _line(moves, lambda line: replace(line, used=False)),
    "a key is not looked for": _name(writing, "written_before", lambda _steps: []),
    "a key stands for any figures": lambda patch: patch.setattr(writing.Asked, "sha256", lambda _self, _of: "0" * 64),
    "an undone line moves no money": _undone(lambda line: replace(line, value=D(0))),
    "an undone line forgets the promise": _undone(lambda line: replace(line, reserved_g=D(0))),
    "a use is undone that came back": _name(undoing, "used_from", lambda **_told: D(10**6)),
    "found grams cost nothing": _name(costs, "found_value", lambda **_told: D(0)),
    "the mean is that of the dearest lot": _name(
        costs, "average_out", lambda *, value, mass_g, **_told: min(value, (mass_g * 35 / 1000).quantize(D("0.0001")))
    ),
    "the last in goes out first": _name(costs, "_layers", lambda book, **told: reversed(list(_layers(book, **told)))),
    "what comes back goes to the end": _name(costs, "IN_FRONT", set()),
    "layers are not used up": _name(
        writing, "enter", lambda book, line, costed, **told: _enter(book, line, replace(costed, taken=()), **told)
    ),
    "a move leaves its worth behind": _line(together, lambda line: replace(line, value=D(0))),
    "only the first of several is taken": _name(together, "written_together", lambda several: _together(several[:1])),
    "a new method starts from nothing": _name(methods, "CostLayer", _NoLayers),
}


SEQUENCES, STEPS = 60, 30
# Uses, returns and undoing meet each other more often than they would among all kinds.
OFTEN = (*KINDS, "issue", "return", "return", "reserve", "reverse", "reverse")


def drawn(seed: int) -> list[Step]:
    """Draw a sequence in small round masses, so that whole promises and whole uses are met, too."""
    draw = random.Random(seed)
    return [
        (draw.choice(OFTEN), draw.randint(0, 3), D(draw.choice((1, 2, 5, 10, 20))),
         draw.choice(JOBS), draw.randint(0, 40))
        for _ in range(STEPS)
    ]  # fmt: skip


@pytest.mark.django_db
class TestPlantedBugs:
    def test_are_not_seen_where_there_are_none(self) -> None:
        for seed in range(4):
            Play().run(drawn(seed))

    @pytest.mark.parametrize("bug", BUGS)
    def test_are_found(self, bug: str, monkeypatch: pytest.MonkeyPatch) -> None:
        BUGS[bug](monkeypatch)
        # By the model, by a CHECK of the database, or because the layers do not hold what is taken from them.
        with pytest.raises((AssertionError, IntegrityError, ValueError)):
            _play_all()


def _play_all() -> None:
    for seed in range(SEQUENCES):
        with transaction.atomic():
            Play().run(drawn(seed))
