"""Positions: the fewest ways of holding a piece so that nearly every patch faces up within a limit in one of them."""

import math
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Bools, Doubles, Floats
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.facing import Faces, Facing, facing_of
from jobs.geometry.study.results import Position, Positions

# Share of the area that may be left out: slivers that cost a position of their own.
LEFT_OUT = 0.01
# A piece on its board is tilted with it at most so far over; hanging below that is no way of working.
LOWEST_UP = -0.5
_UPS = 600
_DOMINANT = 12
_MOST_POSITIONS = 40
# Rounds of the search that moves all ups at once, and how strongly it is drawn to what is still out of reach.
_ROUNDS = 60
# From how many different first choices the greedy choice is begun anew.
_FIRSTS = 6
_PULL = 0.35


def find_positions(
    vertices: Floats, faces: Faces, *, slope_limit_deg: float, on_board: bool, vectors: Doubles | None = None
) -> Positions:
    """Find few ways of holding a piece, each by what points up in it.

    Parameters
    ----------
    vertices, faces : ndarray
        The surface to coat, oriented outward. [mm]
    slope_limit_deg : float
        How far a patch may lean from facing up, 10 to 89. [deg]
    on_board : bool
        A piece on its board is held with its top no lower than 30° below the level; what then faces up nowhere is left out.
    vectors : ndarray, optional
        As `face_vectors` gives them, where somebody has them already.

    Returns
    -------
    Positions
        The one with the most area first; each patch counts where it lies most level.

    Notes
    -----
    A set cover by caps on the sphere of normals: a greedy choice among 600 even directions and those midway between dominant
    normals, bettered by exchange; then, with one position less each time, all ups are moved to the middle of what they
    hold, patches out of reach weighing more with each round. No proof of the least number, but no known covering of the
    sphere by 4 to 8 caps is missed by more than a degree or two.
    """
    facing = facing_of(vertices, faces, vectors)
    search = _Search(facing, math.cos(math.radians(slope_limit_deg)), lowest=LOWEST_UP if on_board else -1.0)
    ups = search.rounded(search.fewest())
    cosines = cosines_of(ups, facing.normals)
    best = cosines.argmax(axis=0)
    held = cosines.max(axis=0) >= search.limit
    areas = np.bincount(best[held], facing.areas[held], len(ups))
    order = np.argsort(-areas, kind="stable")
    return Positions(
        slope_limit_deg=slope_limit_deg,
        positions=tuple(
            Position(up=_direction(ups[number]), area_mm2=float(areas[number])) for number in order if areas[number] > 0
        ),
        left_out_mm2=float(facing.areas[~held].sum()),
    )


class _Search:
    def __init__(self, facing: Facing, limit: float, *, lowest: float) -> None:
        self.normals, self.areas = facing.normals, facing.areas
        self.limit = limit - 1e-9
        self.lowest = lowest
        self.candidates = self._candidates()
        self.holds = (cosines_of(self.candidates, self.normals) >= self.limit).astype(np.float32)
        reached = self.holds.any(axis=0)
        self.wanted = float(self.areas[reached].sum() - LEFT_OUT * self.areas.sum())
        self.greedy = self._greedy()

    def fewest(self) -> Doubles:
        """Return the fewest ups (k, 3) found."""
        chosen = self.greedy
        ups = self.candidates[self._exchanged(chosen)]
        if self._missing(ups) > 0:  # the exchange may not lose what the greedy choice had
            ups = self.candidates[chosen]
        while len(ups) > 1:
            fewer = self._with(ups, len(ups) - 1)
            if fewer is None:
                break
            ups = fewer
        return self._levelled(ups)

    def rounded(self, ups: Doubles) -> Doubles:
        """Turn each up to whole steps of 5° or 1° where nothing is lost by it, so that it can be said and set."""
        found = ups.copy()
        for step in (5.0, 1.0):
            for number, up in enumerate(ups):
                if step == 1.0 and not np.array_equal(found[number], up):
                    continue
                near = _direction(up)
                lift = round(near.lift_deg / step) * step
                # Near the pole the side means little.
                side_step = step if abs(lift) < 75 else 15.0
                side = 0.0 if abs(lift) == 90 else round(near.azimuth_deg / side_step) * side_step
                turned = direction(side, lift)
                tried = found.copy()
                tried[number] = (turned.x, turned.y, turned.z)
                if turned.z >= self.lowest and self._missing(tried) <= max(self._missing(found), 0.0):
                    found = tried
        return found

    def _candidates(self) -> Doubles:
        ups = [even_directions(_UPS), np.vstack([np.eye(3), -np.eye(3)])]
        strong = np.argsort(-self.areas, kind="stable")[:_DOMINANT]
        normals = self.normals[strong[self.areas[strong] > 0.01 * self.areas.sum()]]
        ups.append(normals)
        ups += [normals[i : i + 1] + normals[j] for i, j in combinations(range(len(normals)), 2)]
        for i, j, k in combinations(range(len(normals)), 3):
            middle = np.cross(normals[j] - normals[i], normals[k] - normals[i])
            ups.append((middle * np.sign(middle @ normals[i]))[None])
        found = np.vstack(ups)
        sizes = np.linalg.norm(found, axis=1)
        found = found[sizes > 1e-6] / sizes[sizes > 1e-6, None]
        allowed: Doubles = found[found[:, 2] >= self.lowest - 1e-9]
        return allowed

    def _missing(self, ups: Doubles) -> float:
        """Return how much area is still wanted with these ups; not above nought when they do."""
        return self.wanted - float(self.areas[self._held(ups)].sum())

    def _held(self, ups: Doubles) -> Bools:
        found: Bools = (cosines_of(ups, self.normals)).max(axis=0) >= self.limit
        return found

    def _greedy(self, first: list[int] | None = None, most: int = _MOST_POSITIONS) -> list[int]:
        chosen = list(first or [])
        open_area = self.areas.astype(np.float32)
        for number in chosen:
            open_area = open_area * (1 - self.holds[number])
        while len(chosen) < most:
            number = int(np.argmax(self._gains(open_area)))
            open_area = open_area * (1 - self.holds[number])
            chosen.append(number)
            if self._missing(self.candidates[chosen]) <= 0:
                break
        return chosen

    def _gains(self, open_area: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the open area within reach of each candidate."""
        found: NDArray[np.float32] = np.einsum("ij,j->i", self.holds, open_area)
        return found

    def _exchanged(self, chosen: list[int]) -> list[int]:
        """Exchange one up at a time for the best with all others in place, until nothing is won."""
        found = list(chosen)
        areas = self.areas.astype(np.float32)
        for _ in range(4):
            changed = False
            for place in range(len(found)):
                others = self.holds[found[:place] + found[place + 1 :]]
                open_area = areas * (others.max(axis=0) < 1) if len(others) else areas
                gains = self._gains(open_area)
                number = int(np.argmax(gains))
                if gains[number] > gains[found[place]] * (1 + 1e-6):
                    found[place], changed = number, True
            if not changed:
                break
        return found

    def _with(self, ups: Doubles, count: int) -> Doubles | None:
        """Try to do with `count` ups, from several beginnings."""
        for start in self._starts(ups, count):
            found = self._moved(start)
            if found is not None:
                return found
        return None

    def _starts(self, ups: Doubles, count: int) -> list[Doubles]:
        held = np.array([self.areas[self._held(np.delete(ups, i, axis=0))].sum() for i in range(len(ups))])
        starts = [np.delete(ups, int(place), axis=0) for place in np.argsort(-held, kind="stable")[:2]]
        firsts = np.argsort(-self._gains(self.areas.astype(np.float32)), kind="stable")[: len(self.candidates) // 4]
        begun = min(_FIRSTS, max(1, 40 // count))
        for first in firsts[:: max(len(firsts) // begun, 1)][:begun]:
            starts.append(self.candidates[self._exchanged(self._greedy([int(first)], count))])
        for turn in (0.0, 1.3, 2.6):
            even = even_directions(count) @ _turned(turn).T
            starts.append(self._allowed(even))
        return starts

    def _moved(self, start: Doubles) -> Doubles | None:
        """Move all ups towards the middle of what each holds, with growing weight on what none holds."""
        ups, stress = start, np.ones(len(self.areas))
        for _ in range(_ROUNDS):
            cosines = cosines_of(ups, self.normals)
            nearest, most = cosines.argmax(axis=0), cosines.max(axis=0)
            out = most < self.limit
            if float(self.areas[~out].sum()) >= self.wanted:
                return ups
            stress = stress * (1 + _PULL * out)
            weights = self.areas * stress * np.exp(6.0 * (self.limit - most))
            sums = np.stack([np.bincount(nearest, weights * self.normals[:, k], len(ups)) for k in range(3)], axis=1)
            sizes = np.linalg.norm(sums, axis=1, keepdims=True)
            ups = self._allowed(np.where(sizes > 1e-12, sums / np.maximum(sizes, 1e-12), ups))
        return None

    def _levelled(self, ups: Doubles) -> Doubles:
        """Turn each up to the mean of what it holds, as far as nothing gets out of reach, so that work lies level."""
        for _ in range(20):
            cosines = cosines_of(ups, self.normals)
            nearest = cosines.argmax(axis=0)
            within = cosines.max(axis=0) >= self.limit
            weights = self.areas * within
            sums = np.stack([np.bincount(nearest, weights * self.normals[:, k], len(ups)) for k in range(3)], axis=1)
            sizes = np.linalg.norm(sums, axis=1, keepdims=True)
            means = np.where(sizes > 1e-12, sums / np.maximum(sizes, 1e-12), ups)
            moved = False
            for share in (1.0, 0.5, 0.25):
                tried = self._allowed(ups + share * (means - ups))
                if self._missing(tried) <= max(self._missing(ups), 0.0):
                    moved = bool(np.abs(tried - ups).max() > 1e-3)
                    ups = tried
                    break
            if not moved:
                break
        return ups

    def _allowed(self, ups: Doubles) -> Doubles:
        """Bring ups to length 1, and those too low up to the lowest allowed."""
        found: Doubles = ups / np.linalg.norm(ups, axis=1, keepdims=True)
        low = found[:, 2] < self.lowest
        if low.any():
            across = found[low, :2]
            sizes = np.linalg.norm(across, axis=1, keepdims=True)
            across = np.where(sizes > 1e-9, across / np.maximum(sizes, 1e-9), [1.0, 0.0])
            found[low, :2] = across * math.sqrt(1 - self.lowest**2)
            found[low, 2] = self.lowest
        return found


def cosines_of(ups: Doubles, normals: Doubles) -> Doubles:
    """Return the cosines between ups (k, 3) and normals (n, 3) as (k, n).

    Summed plainly: the threads that a matrix product starts cost more than these small ones save.
    """
    found: Doubles = np.einsum("ij,kj->ik", ups, normals)
    return found


def even_directions(count: int) -> Doubles:
    """Return directions spread evenly over the sphere, (count, 3): a spiral by the golden angle (Fibonacci lattice)."""
    number = np.arange(count) + 0.5
    z = 1 - 2 * number / count
    around = number * math.pi * (3 - math.sqrt(5))
    across = np.sqrt(np.maximum(1 - z * z, 0.0))
    return np.stack([across * np.cos(around), across * np.sin(around), z], axis=1)


def _turned(angle: float) -> Doubles:
    """Turn about an axis that is none of the piece's own."""
    x, y, z = np.array([1.0, 2.0, 3.0]) / math.sqrt(14.0)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    found: Doubles = np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross
    return found


def _direction(up: Doubles) -> Direction:
    x, y, z = (up / np.linalg.norm(up)).tolist()
    return Direction(x=x, y=y, z=z)
