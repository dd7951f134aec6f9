"""Any sequence of movements, tried against a model of three numbers."""

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from materials import ledger
from materials.errors import MaterialsError
from materials.models import Movement
from tests.factories import LotFactory

JOBS = (1, 2)
masses = st.decimals(min_value="0.001", max_value="50", places=3)
steps = st.tuples(
    st.sampled_from(["receive", "issue", "reserve", "release", "return", "count", "discard", "reverse", "repeat"]),
    masses,
    st.sampled_from(JOBS),
    st.integers(0, 40),
)


class Expected:
    """What the shelf must hold: on hand, promised to each job, used by each job. Nothing else is known to it."""

    def __init__(self) -> None:
        self.on_hand = Decimal(0)
        self.promised = dict.fromkeys(JOBS, Decimal(0))
        self.used = dict.fromkeys(JOBS, Decimal(0))

    @property
    def free(self) -> Decimal:
        return self.on_hand - sum(self.promised.values())

    def step(self, kind: str, mass: Decimal, job: int) -> bool:
        """Do a step if it is allowed, and say whether it was."""
        allowed = {
            "receive": True,
            "issue": mass - min(mass, self.promised[job]) <= self.free,
            "reserve": mass <= self.free,
            "release": mass <= self.promised[job],
            "return": mass <= self.used[job],
            "count": mass >= sum(self.promised.values()),
            "discard": mass <= self.free,
        }[kind]
        if not allowed:
            return False
        if kind == "receive":
            self.on_hand += mass
        elif kind == "issue":
            self.promised[job] -= min(mass, self.promised[job])
            self.on_hand -= mass
            self.used[job] += mass
        elif kind in {"reserve", "release"}:
            self.promised[job] += mass if kind == "reserve" else -mass
        elif kind == "return":
            self.on_hand += mass
            self.used[job] -= mass
        elif kind == "count":
            self.on_hand = mass
        else:
            self.on_hand -= mass
        return True


def call(lot: Any, kind: str, mass: Decimal, job: int, key: str) -> Any:
    if kind == "count":
        return ledger.adjust_by_count(of=lot, counted_g=mass, key=key, by=None)
    if kind == "discard":
        return ledger.discard(of=lot, mass_g=mass, key=key, by=None)
    if kind == "receive":
        return ledger.receive(of=lot, mass_g=mass, key=key, by=None)
    if kind == "return":
        return ledger.return_(of=lot, mass_g=mass, key=key, by=None, job_number=job)
    act: Any = {"issue": ledger.issue, "reserve": ledger.reserve, "release": ledger.release}[kind]
    return act(of=lot, mass_g=mass, key=key, by=None, job_number=job)


@pytest.mark.django_db
class TestLedgerSequences:
    @settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(st.lists(steps, max_size=25))
    def test_agree_with_a_model_of_three_numbers(self, played: list[tuple[str, Decimal, int, int]]) -> None:
        lot, expected = LotFactory(), Expected()
        done: list[tuple[Any, ...]] = []
        for kind, mass, job, back in played:
            key = uuid4().hex
            if kind in {"reverse", "repeat"}:
                if not done:
                    continue
                self._again_or_undo(lot, kind, done[back % len(done)], expected, key)
            else:
                try:
                    line = call(lot, kind, mass, job, key)
                    assert expected.step(kind, mass, job), f"{kind} of {mass} should have been refused"
                    if line is not None:
                        done.append((kind, mass, job, key, line))
                except MaterialsError:
                    assert not expected.step(kind, mass, job), f"{kind} of {mass} should have been allowed"
            lot.refresh_from_db()
            assert lot.on_hand_g == expected.on_hand
            assert lot.reserved_g == sum(expected.promised.values())
            assert ledger.balances_from_movements(of=lot) == (lot.on_hand_g, lot.reserved_g)
            assert {job: ledger.reserved_for(of=lot, job_number=job) for job in JOBS} == expected.promised

    def _again_or_undo(self, lot: Any, kind: str, one: tuple[Any, ...], expected: Expected, key: str) -> None:
        name, mass, job, first_key, line = one
        if kind == "repeat":
            before = Movement.objects.count()
            assert call(lot, name, mass, job, first_key) == line
            assert Movement.objects.count() == before
            return
        sign = line.mass_g if name in {"issue", "return"} else Decimal(0)
        on_hand = expected.on_hand - line.mass_g
        promised = {**expected.promised, job: expected.promised[job] - line.reserved_g}
        used = {**expected.used, job: expected.used[job] + sign}
        first_time = not Movement.objects.filter(reverses=line).exists()
        sound = on_hand >= sum(promised.values()) and min(promised.values()) >= 0 and on_hand >= 0
        may = first_time and sound and (name != "issue" or used[job] >= 0)
        try:
            undone = ledger.reverse(movement=line, key=key, by=None)
        except MaterialsError:
            assert not may, f"{name} of {mass} should have been undone"
            return
        assert may, f"{name} of {mass} should not have been undone"
        assert (undone.mass_g, undone.reserved_g) == (-line.mass_g, -line.reserved_g)
        expected.on_hand, expected.promised, expected.used = on_hand, promised, used
