"""A plan compiled into a response model: what its minutes, masses and waits answer when drivers move, many draws at once.

Numpy is imported here at the top: nothing loads this module before somebody asks how sure an estimate is.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costing.engine.spread.drivers import AREA, SPOILED, TEMPERATURE, WALL

Array = NDArray[np.float64]
Values = Mapping[str, Array]
Reader = Callable[[str], Array]
MOLD, RUN = 0, 1
RUBBER, RESIN = "rubber", "resin"
STARTUP = "casting_startup_h"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaces:
    """Smooth responses: each is its value at the plan times exp of a polynomial of the logarithms of the drivers.

    Columns of `shapes` are x, x², y, y², xy (x area, y wall) and z, z² for every loss; `shape_of` tells the row of each
    response, because many bend alike.
    """

    base: Array
    shapes: Array
    shape_of: NDArray[np.intp]

    def at(self, basis: Array) -> Array:
        """Return every response at every draw: responses × draws."""
        found: Array = self.base[:, None] * np.exp(self.shapes @ basis)[self.shape_of]
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixing:
    """Work whose cups are counted: cups = ⌈minutes of laying ÷ (1 − loss) ÷ (usable share × pot life − mixing)⌉.

    `laying` pairs a rate with the row of its amount of work; `loss` is the rate that tells the loss. `drawn` says that each cup
    goes under vacuum. `bucket` is the row of the mass that a bucket bounds, None where none does. `settled` is the number of cups
    where the rule above does not give what the planner counts.
    """

    share: int
    laying: tuple[tuple[str, int], ...]
    loss: str
    drawn: bool
    bucket: int | None = None
    settled: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Casting:
    """What casting days hang on: hands and cycle are sums of rates, the rest of the cycle waits by the temperature."""

    count: int
    kept: int
    hands: tuple[tuple[str, float], ...]
    cycle: tuple[tuple[str, float], ...]
    waits: Array
    shift_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the planner would say at every draw: hours, g, and hours on the clock; masses of lines by their key."""

    mold_h: Array
    run_h: Array
    rubber_g: Array
    resin_g: Array
    laying_h: Array
    lines: Mapping[str, Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseModel:
    """A compiled plan; `worst` is the largest error found against the planner at other points, in percent, by quantity."""

    planned: Mapping[str, float]
    losses: tuple[str, ...]
    work: Surfaces
    work_of: tuple[tuple[int, str], ...]
    fixed_min: tuple[float, float]
    mixing: tuple[Mixing, ...]
    amounts: Surfaces
    masses: Surfaces
    mass_keys: tuple[str, ...]
    temperatures: Array
    pot_life: Array
    laying_waits: Array
    hands_of_coats: tuple[int, ...]
    coats_work: tuple[tuple[str, int], ...]
    coats_fixed_min: float
    people: int
    casting: Casting | None
    bucket_kg: float
    points: int = 0
    worst: Mapping[str, float] | None = None

    @property
    def used_rates(self) -> tuple[str, ...]:
        """Return the rates of work, losses and habits that the plan hangs on."""
        found = [key for _, key in self.work_of]
        if self.mixing:
            found += ["mix_handling_min", "pot_life_usable_share", "mix_min"]
            found += ["vacuum_min"] if any(group.drawn for group in self.mixing) else []
        found += [STARTUP] if self.casting else []
        return tuple(dict.fromkeys([*found, *self.losses]))

    def at(self, values: Values, draws: int) -> Outcome:
        """Evaluate the model; drivers that are not in `values` stand as planned."""

        def of(key: str) -> Array:
            found = values.get(key)
            return np.full(draws, self.planned[key]) if found is None else found

        basis = self._basis(of)
        temperature = np.clip(of(TEMPERATURE), self.temperatures[0], self.temperatures[-1])
        window = self._window(of, temperature)
        amounts = self.amounts.at(basis)
        minutes = [np.full(draws, self.fixed_min[MOLD]), np.full(draws, self.fixed_min[RUN])]
        for (share, key), amount in zip(self.work_of, self.work.at(basis), strict=True):
            minutes[share] += amount * of(key)
        hands = np.full(draws, self.coats_fixed_min)
        for key, row in self.coats_work:
            hands += amounts[row] * of(key)
        for number, group in enumerate(self.mixing):
            spent = self._cups(group, amounts, of, window) * self._each_cup(group, of)
            minutes[group.share] += spent
            if number in self.hands_of_coats:
                hands += spent
        more = 1.0 + of(SPOILED) / 100
        run_min = minutes[RUN] * more
        if self.casting is not None:
            run_min = run_min + 60 * of(STARTUP) * self._days(self.casting, of, temperature, more)
        masses = dict(zip(self.mass_keys, self.masses.at(basis), strict=True))
        of_run = [key for key in masses if key == RESIN or key.startswith("run-")]
        masses |= {key: masses[key] * more for key in of_run}
        waits = np.interp(temperature, self.temperatures, self.laying_waits)
        return Outcome(
            mold_h=minutes[MOLD] / 60,
            run_h=run_min / 60,
            rubber_g=masses.pop(RUBBER),
            resin_g=masses.pop(RESIN),
            laying_h=(hands / self.people + waits) / 60,
            lines=masses,
        )

    def _basis(self, of: Reader) -> Array:
        x, y = np.log(of(AREA) / self.planned[AREA]), np.log(of(WALL) / self.planned[WALL])
        rows = [x, x * x, y, y * y, x * y]
        for key in self.losses:
            z = np.log((100 - self.planned[key]) / (100 - of(key)))
            rows += [z, z * z]
        return np.stack(rows)

    def _window(self, of: Reader, temperature: Array) -> Array:
        """Minutes of the pot life that are left for laying, without the vacuum's."""
        left: Array = of("pot_life_usable_share") * np.interp(temperature, self.temperatures, self.pot_life) - of("mix_min")
        return left

    def _cups(self, group: Mixing, amounts: Array, of: Reader, window: Array) -> Array:
        if group.settled is not None:
            return np.full(len(window), group.settled)
        laying = np.zeros(len(window))
        for key, row in group.laying:
            laying += amounts[row] * of(key)
        left = np.maximum(window - (of("vacuum_min") if group.drawn else 0.0), 1.0)
        kept = 1 - of(group.loss) / 100
        cups = laying / kept / left
        if group.bucket is not None:
            cups = np.maximum(cups, amounts[group.bucket] / kept / 1000 / self.bucket_kg)
        found: Array = np.maximum(np.ceil(cups - 1e-9), 1.0)
        return found

    def _each_cup(self, group: Mixing, of: Reader) -> Array:
        return of("mix_handling_min") + (of("vacuum_min") if group.drawn else 0.0)

    def _days(self, casting: Casting, of: Reader, temperature: Array, more: Array) -> Array:
        hands = sum((amount * of(key) for key, amount in casting.hands), np.zeros(len(temperature)))
        cycle = np.interp(temperature, self.temperatures, casting.waits)
        cycle = cycle + sum((amount * of(key) for key, amount in casting.cycle), np.zeros(len(temperature)))
        day = np.zeros(len(temperature))
        for turn in range(casting.kept):
            left = 60 * (casting.shift_h - of(STARTUP)) - turn * hands
            day += np.maximum(np.floor(left / np.maximum(cycle, 1e-9) + 1e-9), 0.0)
        found: Array = np.ceil(casting.count * more / np.maximum(day, 1.0) - 1e-9)
        return found
