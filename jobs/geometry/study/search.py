"""Find the pulls whose shell pieces need the least fill."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_views import choose_more, counts_with, pair_counts
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.candidates import awkwardness
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.fill import CoatedSurface, rough_fill
from jobs.geometry.study.views import Views, look_around

# Sets of pulls whose fill differs by less than this share of the rubber are equals: a person then builds the handier one.
EQUAL_SHARE = 0.002
# The next best must hold a pull this far from all pulls of the best.
DIFFERENT_DEG = 20.0
_DIFFERENT = math.cos(math.radians(DIFFERENT_DEG))
MOST_PIECES = 8
# How many sets are measured after counting points, and how many pairs larger sets grow from.
_MEASURED, _STARTS = 6, 10
# Share of the rubber by which counted points may rank a set wrongly.
_MISCOUNTED = 0.006
# How much a surface that is seen at grazing slope only counts against build.
_GRAZING_WEIGHT = 1.2

Chosen = tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Set:
    """Views by number, what they leave to fill, and how awkward they are."""

    chosen: Chosen
    fill_mm3: float
    awkward: float


@dataclass(slots=True, kw_only=True)
class _Search:
    """All that searches of one coated piece with the same pinned pulls share."""

    views: Views
    fixed: int
    counts: NDArray[np.int32]
    measured: dict[Chosen, _Set] = field(default_factory=dict)
    ranked: dict[int, list[_Set]] = field(default_factory=dict)


_searches: WeakKeyDictionary[CoatedSurface, dict[tuple[Direction, ...], _Search]] = WeakKeyDictionary()


def find_pulls(
    coated: CoatedSurface, *, pieces: int, pinned: Sequence[Direction] = (), on_board: bool | None = None
) -> list[tuple[Direction, ...]]:
    """Find the pulls of a shell of some pieces that needs the least fill, and the next best that differs.

    Parameters
    ----------
    coated : CoatedSurface
        The coated piece.
    pieces : int
        1 to 8; one alone only on a board.
    pinned : sequence of Direction
        Pulls fixed by a person, at most `pieces`; they come first in every answer.
    on_board : bool, optional
        As in `coated`.

    Returns
    -------
    list of tuples of Direction
        The best, and where there is one, the next best, in which some pull lies more than 20° from all pulls of the best.

    Raises
    ------
    GeometryError
        When the count is out of range, or too many pulls are pinned.

    Notes
    -----
    A point of the air must be filled when every pull hides it. Pulls 15° apart are looked along once; sets of them are ranked
    by how many of some ten thousand points they all hide (every pair; larger sets by adding the best and exchanging), and the
    first few are measured. Among those within 0.2 % of the rubber of the least, the handiest wins: pulls that are opposite,
    level and along the piece's axes, and that graze little of it. The best of one piece fewer, with one more pull, is always
    among those measured, so more pieces never need more fill.
    """
    if on_board is not None and on_board != coated.on_board:
        raise GeometryError("The piece was coated otherwise: say whether it stands on the board.")
    if not 1 <= pieces <= MOST_PIECES or (pieces == 1 and not coated.on_board):
        raise GeometryError(f"Pulls are sought for 2 to {MOST_PIECES} pieces, on a board also for one.")
    if len(pinned) > pieces:
        raise GeometryError(f"{len(pinned)} pulls are fixed, but the shell has {pieces} pieces.")
    if len(pinned) == pieces:
        return [tuple(pinned)]
    search = _search_of(coated, tuple(pinned))
    ranked = _ranked(coated, search, pieces)
    best = _handiest(ranked, search.views)
    others = [one for one in ranked if _unlike(search.views, one.chosen, best.chosen)]
    found = [best, _handiest(others, search.views)] if others else [best]
    return [tuple(search.views.pulls[n] for n in one.chosen) for one in found]


def _search_of(coated: CoatedSurface, pinned: tuple[Direction, ...]) -> _Search:
    kept = _searches.setdefault(coated, {})
    if pinned not in kept:
        views = look_around(coated, pinned)
        kept[pinned] = _Search(views=views, fixed=len(pinned), counts=pair_counts(views.bits))
    return kept[pinned]


def _ranked(coated: CoatedSurface, search: _Search, pieces: int) -> list[_Set]:
    """Return measured sets, no two alike: those that hide least, and others that differ from the first of them."""
    if pieces not in search.ranked:
        views = search.views
        counted = _counted(search, pieces)
        chosen: list[Chosen] = []
        if pieces > max(search.fixed + 1, 2):
            chosen.append(_grown(views, _handiest(_ranked(coated, search, pieces - 1), views).chosen))
        few = _few(views, counted, _MEASURED)
        unlike = {one: count for one, count in counted.items() if few and _unlike(views, one, few[0])}
        chosen += [*few, *_few(views, unlike, _MEASURED // 2)]
        search.ranked[pieces] = [_measured(coated, search, one) for one in dict.fromkeys(chosen)]
    return search.ranked[pieces]


def _counted(search: _Search, pieces: int) -> dict[Chosen, int]:
    """Return sets of views and how many points they all hide."""
    views, counts, fixed = search.views, search.counts, search.fixed
    everyone = range(len(views.pulls))
    if pieces == 1:
        return {(n,): int(counts[n, n]) for n in everyone if views.pulls[n].z > 0.5}
    if pieces == 2 and fixed:
        return {(0, n): int(counts[0, n]) for n in everyone if n}
    if pieces == 2:
        rows, columns = np.triu_indices(len(counts), 1)
        pairs = counts[rows, columns]
        order = np.argsort(pairs, kind="stable")[:4000]
        return dict(zip(zip(rows[order].tolist(), columns[order].tolist(), strict=True), pairs[order].tolist(), strict=True))
    found: dict[Chosen, int] = {}
    for start in _starts(search):
        chosen = np.zeros(pieces, np.int64)
        chosen[: len(start)] = start
        count = int(choose_more(views.bits, chosen, len(start), fixed))
        numbers: list[int] = chosen.tolist()
        found[(*numbers[:fixed], *sorted(numbers[fixed:]))] = count
    return found


def _starts(search: _Search) -> Iterable[Chosen]:
    if search.fixed > 1:
        return [tuple(range(search.fixed))]
    pairs = _counted(search, 2)
    found: list[Chosen] = []
    for pair in sorted(pairs, key=lambda one: pairs[one])[:2000]:
        if all(_unlike(search.views, pair, other) for other in found):
            found.append(pair)
        if len(found) == _STARTS:
            break
    return found


def _few(views: Views, counted: dict[Chosen, int], most: int) -> list[Chosen]:
    """Return the sets that hide least, and of those about as good the handiest."""
    if not counted:
        return []
    order = sorted(counted, key=lambda chosen: counted[chosen])
    enough = counted[order[0]] + _MISCOUNTED * views.rubber_mm3 / views.point_mm3
    near = sorted((chosen for chosen in order[:500] if counted[chosen] <= enough), key=lambda chosen: _awkward(views, chosen))
    return list(dict.fromkeys([*order[: most // 3], *near[: most - most // 3], *order[:most]]))[:most]


def _grown(views: Views, chosen: Chosen) -> Chosen:
    """Add the view that hides least with the others; of those about as good the handiest."""
    counts = counts_with(views.bits, np.array(chosen))
    others = {(*chosen, n): int(counts[n]) for n in range(len(counts)) if n not in chosen}
    return _few(views, others, 3)[1]


def _measured(coated: CoatedSurface, search: _Search, chosen: Chosen) -> _Set:
    if chosen not in search.measured:
        views = search.views
        pixel = max(coated.field.step_mm, float(np.ptp(coated.vertices, axis=0).max()) / 200)
        fill = rough_fill(coated, [views.pulls[n] for n in chosen], pixel_mm=pixel)
        search.measured[chosen] = _Set(chosen=chosen, fill_mm3=fill, awkward=_awkward(views, chosen))
    return search.measured[chosen]


def _awkward(views: Views, chosen: Chosen) -> float:
    return awkwardness([views.pulls[n] for n in chosen], views.axes) + _GRAZING_WEIGHT * views.grazed(chosen)


def _handiest(sets: Sequence[_Set], views: Views) -> _Set:
    least = min(one.fill_mm3 for one in sets)
    equals = [one for one in sets if one.fill_mm3 <= least + EQUAL_SHARE * views.rubber_mm3]
    return min(equals or sets, key=lambda one: (one.awkward, one.fill_mm3))


def _unlike(views: Views, chosen: Chosen, other: Chosen) -> bool:
    """Say whether one of the chosen pulls lies far from every one of the others."""
    return any(all(views.cosines[n, m] < _DIFFERENT for m in other) for n in chosen)
