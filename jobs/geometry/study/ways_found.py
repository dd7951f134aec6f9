"""The ways of dividing a shell that a study tells: the one that is asked for first, then the best of each count."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PIECE_COUNTS, PartingPlane, StudyBrief
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.divide import Divided, divide
from jobs.geometry.study.fill import CoatedSurface, coarser, fill_of, rough_fill
from jobs.geometry.study.search import find_pulls

# Ways told of each count: the best and the next.
RANKS = 2
# Pulls tried on each side of a fixed parting: turned from its normal, and up from the level. [deg]
_TURNS, _LIFTS = (0.0, -30.0, 30.0), (0.0, 20.0, 45.0)
# Fill beyond so many times the coated piece is no way of making a mold.
_MOST_FILL = 5.0
# Pulls that all lie closer together leave fill far behind the piece. [cosine of 15°]
_NARROW = 0.966
_TOO_MUCH = (
    "These pulls leave more to be filled than anybody would cast: they point too nearly the same way. Turn one of them away "
    "from the others, or release it."
)
Pulls = tuple[Direction, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A way that was found, with what it was looked through; `taken` when the brief asks for just this one."""

    divided: Divided
    maps: tuple[DepthMap, ...]
    parting: PartingPlane | None
    taken: bool


def find_ways(coated: CoatedSurface, brief: StudyBrief) -> Iterator[Candidate]:
    """Find ways of dividing the shell of a coated piece.

    Yields
    ------
    Candidate
        First the one that the brief asks for, when its count is 2, 3 or 4; then the best and the next best of each count,
        divided on a coarser grid than the one that is taken.

    Raises
    ------
    GeometryError
        When what a person fixed leaves no end to the fill. Ways that only the search tried are left out instead.
    """
    fixed = bool(brief.pulls) or brief.parting is not None
    if brief.pieces in PIECE_COUNTS:
        if fixed:
            yield _way(coated, brief, _fixed_pulls(coated, brief), rank=0, taken=True)
        yield from _searched(coated, brief, brief.pieces, takes=not fixed)
    for count in PIECE_COUNTS:
        if count != brief.pieces:
            yield from _searched(coated, brief, count, takes=False)


def _searched(coated: CoatedSurface, brief: StudyBrief, count: int, *, takes: bool) -> Iterator[Candidate]:
    found = find_pulls(coated, pieces=count, on_board=coated.on_board)[:RANKS]
    ranks = list(range(len(found)))
    if takes:
        wanted = min(brief.rank, len(found) - 1)
        ranks.sort(key=lambda rank: rank != wanted)
    for place, rank in enumerate(ranks):
        try:
            yield _way(coated, brief, found[rank], rank=rank, taken=takes and place == 0, free=True)
        except GeometryError:
            if takes and place == 0:
                raise


def _way(coated: CoatedSurface, brief: StudyBrief, pulls: Pulls, *, rank: int, taken: bool, free: bool = False) -> Candidate:
    if all(_along(pulls[0], other) > _NARROW for other in pulls[1:]):
        raise GeometryError(_TOO_MUCH)
    parting, pixel = None if free else brief.parting, coated.field.step_mm / 2
    # Nothing is drawn of a way that is not taken: its areas and partings are read off every other node.
    divided_on = coated if taken else coarser(coated)
    maps = depth_maps(divided_on.vertices, divided_on.faces, pulls, pixel_mm=pixel)
    fill = fill_of(coated, maps, parting=parting)
    if fill[0] > _MOST_FILL * coated.volume_mm3:
        raise GeometryError(_TOO_MUCH)
    divided = divide(
        divided_on, maps, pulls=pulls, pinned=() if free else brief.pulls, shell_mm=brief.shell_mm, on_board=coated.on_board,
        parting=parting, rank=rank, fill=fill,
    )  # fmt: skip
    return Candidate(divided=divided, maps=maps, parting=parting, taken=taken)


def _fixed_pulls(coated: CoatedSurface, brief: StudyBrief) -> Pulls:
    """Return the fixed pulls and those that go best with them; with a parting, the pull of its own side first."""
    if brief.parting is None:
        return find_pulls(coated, pieces=brief.pieces, pinned=brief.pulls, on_board=coated.on_board)[0]
    normal = direction(brief.parting.azimuth_deg, 0.0)
    sides: list[Sequence[Direction]] = [_tried(normal), _tried(direction(brief.parting.azimuth_deg + 180.0, 0.0))]
    fixed = sorted(brief.pulls, key=lambda pull: -_along(pull, normal))
    if len(fixed) == 2:
        sides = [[fixed[0]], [fixed[1]]]
    elif fixed:
        sides[0 if _along(fixed[0], normal) >= 0 else 1] = fixed
    # What one side's pull leaves to be filled does not depend on the other side's.
    usual = sides[0][0], sides[1][0]
    first = min(sides[0], key=lambda pull: _rough(coated, (pull, usual[1]), brief.parting)) if len(sides[0]) > 1 else usual[0]
    second = min(sides[1], key=lambda pull: _rough(coated, (usual[0], pull), brief.parting)) if len(sides[1]) > 1 else usual[1]
    return first, second


def _tried(normal: Direction) -> list[Direction]:
    return [direction(normal.azimuth_deg + turn, lift) for lift in _LIFTS for turn in _TURNS]


def _rough(coated: CoatedSurface, pulls: Pulls, parting: PartingPlane | None) -> float:
    return rough_fill(coated, pulls, pixel_mm=2 * coated.field.step_mm, parting=parting)


def _along(a: Direction, b: Direction) -> float:
    return a.x * b.x + a.y * b.y + a.z * b.z
