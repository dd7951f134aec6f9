"""Any sequence of entries on two lots and two bins, played on the ledger and on a model beside it.

The model knows what each thing holds, what each job was promised and used, and keeps the money with the pure rules of
`materials.valuing`, which have an outside check of their own.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any
from uuid import uuid4

from hypothesis import strategies as st

from materials import ledger
from materials.errors import KeyUsedForOther, MaterialsError
from materials.models import Material, Movement, StockBook
from materials.valuing.money import part_of, worth
from materials.valuing.pool import Event, Method, Pool, Way, after, change_method
from tests.factories import LotFactory, MaterialFactory, ScrapBinFactory

D = Decimal
JOBS = (1, 2)
KINDS = (
    "receive", "issue", "reserve", "release", "return", "count", "discard", "cut", "move", "together", "reverse", "repeat",
    "method",
)  # fmt: skip
masses = st.decimals(min_value="0.001", max_value="50", places=3)
steps = st.lists(
    st.tuples(st.sampled_from(KINDS), st.integers(0, 3), masses, st.sampled_from(JOBS), st.integers(0, 40)), max_size=24
)
Step = tuple[str, int, Decimal, int, int]
# Something is there to begin with, so that most of what is drawn is allowed.
STOCKED: tuple[Step, ...] = (
    ("receive", 0, D(100), 1, 0),
    ("receive", 1, D(60), 1, 0),
    ("cut", 2, D(40), 1, 0),
    ("cut", 3, D(70), 1, 0),
)


@dataclass
class Expected:
    """What one lot or bin must hold."""

    on_hand: Decimal = Decimal(0)
    promised: dict[int, Decimal] = field(default_factory=lambda: dict.fromkeys(JOBS, D(0)))
    used: dict[int, Decimal] = field(default_factory=lambda: dict.fromkeys(JOBS, D(0)))
    used_value: dict[int, Decimal] = field(default_factory=lambda: dict.fromkeys(JOBS, D(0)))

    @property
    def held(self) -> Decimal:
        return sum(self.promised.values(), D(0))

    @property
    def free(self) -> Decimal:
        return self.on_hand - self.held


@dataclass
class Done:
    """A line that was written, with what was asked for."""

    kind: str
    at: int
    mass: Decimal
    job: int
    key: str
    line: Movement


class Play:
    """Two lots of one material at 20 and 35, and two bins."""

    def __init__(self) -> None:
        self.material = MaterialFactory()
        lots = [LotFactory(material=self.material, unit_cost_per_kg=cost) for cost in (20, 35)]
        self.things: list[Any] = [*lots, ScrapBinFactory(), ScrapBinFactory()]
        self.held = [Expected() for _ in self.things]
        self.pools = [Pool(), Pool(), Pool()]
        self.used = [D(0), D(0), D(0)]
        self.done: list[Done] = []

    def run(self, played: list[Step]) -> None:
        for kind, at, mass, job, back in [*STOCKED, *played]:
            if kind == "method":
                method = list(Method)[back % 2]
                ledger.choose_cost_method(material=self.material, method=Material.CostMethod(method.value), by=None)
                self.pools[0] = change_method(self.pools[0], method)
            elif kind in {"reverse", "repeat"}:
                if self.done:
                    one = self.done[back % len(self.done)]
                    self._undo(one) if kind == "reverse" else self._repeat(one)
            else:
                self._enter(kind, at, mass, job)
            self._look(at)
        for at in range(4):
            self._look(at)
            thing = self.things[at]
            assert ledger.balances_from_movements(of=thing) == (self.held[at].on_hand, self.held[at].held)
        mine = {book.pk for book in StockBook.objects.filter(material=self.material)}
        assert not mine & {book.pk for book in ledger.unbalanced_books()}

    def _pool(self, at: int) -> int:
        return max(at - 1, 0)

    def _enter(self, kind: str, at: int, mass: Decimal, job: int) -> None:
        if kind in {"cut", "move"}:
            at = 2 + at % 2
        if kind == "together":
            at %= 2
        may, key = self._may(kind, at, mass, job), uuid4().hex
        try:
            lines = self._call(kind, at, mass, job, key)
        except MaterialsError:
            assert not may, f"{kind} of {mass} should have been allowed"
            return
        assert may, f"{kind} of {mass} should have been refused"
        assert len(lines) == {"move": 2, "together": 2, "count": int(mass != self.held[at].on_hand)}.get(kind, 1)
        for number, line in enumerate(lines):
            where = at if number == 0 else 5 - at if kind == "move" else 1 - at
            self._happen(kind, where, line, job)
            if number == 0 or kind == "move":
                self.done.append(Done(kind, where, mass, job, key, line))

    def _may(self, kind: str, at: int, mass: Decimal, job: int) -> bool:
        held = self.held[at]
        other = self.held[1 - at] if kind == "together" else held
        return {
            "receive": True,
            "cut": True,
            "issue": mass - min(mass, held.promised[job]) <= held.free,
            "together": all(mass - min(mass, one.promised[job]) <= one.free for one in (held, other)),
            "reserve": mass <= held.free,
            "release": mass <= held.promised[job],
            "return": mass <= held.used[job],
            "count": mass >= held.held,
            "discard": mass <= held.free,
            "move": mass <= held.free,
        }[kind]

    def _call(self, kind: str, at: int, mass: Decimal, job: int, key: str) -> list[Movement]:
        thing, told = self.things[at], {"key": key, "by": None}
        if kind == "together":
            takes = [ledger.Take(of=thing, mass_g=mass), ledger.Take(of=self.things[1 - at], mass_g=mass)]
            return ledger.issue_together(takes=takes, job_number=job, key=key, by=None)
        if kind == "move":
            return ledger.move(source=thing, target=self.things[5 - at], mass_g=mass, key=key, by=None)
        if kind == "count":
            line = ledger.adjust_by_count(of=thing, counted_g=mass, key=key, by=None)
            return [line] if line else []
        if kind == "cut":
            return [ledger.cut(of=thing, mass_g=mass, value=worth(mass, D(9)), job_number=job, key=key, by=None)]
        if kind == "discard":
            return [ledger.discard(of=thing, mass_g=mass, key=key, by=None)]
        acts: dict[str, Any] = {
            "receive": ledger.receive, "issue": ledger.issue, "reserve": ledger.reserve, "release": ledger.release,
            "return": ledger.return_,
        }  # fmt: skip
        return [acts[kind](of=thing, mass_g=mass, job_number=job, **told)]

    def _happen(self, kind: str, at: int, line: Movement, job: int) -> None:
        """Let the model do what the line should have done, and hold the line against it."""
        held, mass = self.held[at], abs(line.mass_g)
        cost = getattr(self.things[at], "unit_cost_per_kg", D(0))
        if kind == "reserve":
            held.promised[job] += line.reserved_g
            return
        if kind == "release":
            held.promised[job] += line.reserved_g
            return
        event = {
            "receive": Event(way=Way.IN, mass_g=mass, value=worth(mass, D(cost))),
            "cut": Event(way=Way.IN, mass_g=mass, value=worth(mass, D(9))),
            "return": Event(way=Way.BACK, mass_g=mass, value=self._back(held, mass, job)),
            "count": Event(way=Way.FOUND if line.mass_g > 0 else Way.OUT, mass_g=mass, lot_per_kg=D(cost)),
            "move": Event(way=Way.OUT, mass_g=mass),
        }.get(kind, Event(way=Way.OUT, mass_g=mass))
        if kind == "move" and line.mass_g > 0:
            event = Event(way=Way.IN, mass_g=mass, value=-self.done[-1].line.value)
        promised = min(mass, held.promised[job]) if kind in {"issue", "together"} else D(0)
        assert -line.reserved_g == promised
        held.promised[job] -= promised
        self._cost(at, event, line, used=kind in {"issue", "together", "return"}, job=job)

    @staticmethod
    def _back(held: Expected, mass: Decimal, job: int) -> Decimal:
        return part_of(held.used_value[job], mass_g=mass, of_g=held.used[job]) if held.used[job] else D(0)

    def _cost(self, at: int, event: Event, line: Movement, *, used: bool, job: int) -> None:
        number, held = self._pool(at), self.held[at]
        named = event if event.name is not None else Event(
            way=event.way, mass_g=event.mass_g, value=event.value, lot_per_kg=event.lot_per_kg, name=line.pk
        )  # fmt: skip
        self.pools[number], change = after(self.pools[number], named)
        held.on_hand += line.mass_g
        assert line.value == change, f"{line.kind} moved {line.value}, not {change}"
        if used:
            held.used[job] -= line.mass_g
            held.used_value[job] -= change
            self.used[number] -= line.mass_g
        pool = self.pools[number]
        assert (line.left_g, line.book_g, line.book_value) == (held.on_hand, pool.mass_g, pool.value)
        assert line.book_used_g == self.used[number]

    def _look(self, at: int) -> None:
        thing, held = self.things[at], self.held[at]
        thing.refresh_from_db()
        assert (thing.on_hand_g, thing.reserved_g) == (held.on_hand, held.held)
        assert {job: ledger.reserved_for(of=thing, job_number=job) for job in JOBS} == held.promised

    def _repeat(self, one: Done) -> None:
        if one.kind == "move" and one.line.mass_g > 0:
            return
        before = Movement.objects.count()
        again = self._call(one.kind, one.at, one.mass, one.job, one.key)
        assert one.line in again
        assert Movement.objects.count() == before
        try:
            self._call(one.kind, one.at, one.mass + 1, one.job, one.key)
        except KeyUsedForOther:
            return
        raise AssertionError("the key was taken with another mass")

    def _undo(self, one: Done) -> None:
        lines = [(one.at, one.line)]
        if one.kind == "move":
            # The mass goes out of the bin that it came into before it comes back to the other.
            twin = next(other for other in self.done if other.key == one.key and other is not one)
            lines = sorted([(one.at, one.line), (twin.at, twin.line)], key=lambda pair: -pair[1].mass_g)
        may = all(self._may_undo(one, at, line) for at, line in lines)
        try:
            ledger.reverse(movement=one.line, key=uuid4().hex, by=None)
        except MaterialsError:
            assert not may, f"{one.kind} of {one.mass} should have been undone"
            return
        assert may, f"{one.kind} of {one.mass} should not have been undone"
        gone = D(0)
        for at, line in lines:
            undone = Movement.objects.get(reverses=line)
            assert (undone.mass_g, undone.reserved_g) == (-line.mass_g, -line.reserved_g)
            self.held[at].promised[one.job] += undone.reserved_g
            if not line.mass_g:
                continue
            way = Way.UNDO_IN if line.mass_g > 0 else Way.UNDO_OUT
            value = gone if one.kind == "move" and way is Way.UNDO_OUT else abs(line.value)
            event = Event(way=way, mass_g=abs(line.mass_g), value=value, name=line.pk if way is Way.UNDO_IN else None)
            self._cost(at, event, undone, used=one.kind in {"issue", "together", "return"}, job=one.job)
            gone = -undone.value

    def _may_undo(self, one: Done, at: int, line: Movement) -> bool:
        held = self.held[at]
        on_hand = held.on_hand - line.mass_g
        promised = {**held.promised, one.job: held.promised[one.job] - line.reserved_g}
        sound = on_hand >= sum(promised.values()) and min(promised.values()) >= 0 and on_hand >= 0
        out = one.kind not in {"issue", "together"} or held.used[one.job] + line.mass_g >= 0
        return sound and out and not Movement.objects.filter(reverses=line).exists()
