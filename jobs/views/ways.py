"""The ways of taking a shell off that were found on the shape, as lines of a table."""

from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.directions_said import degrees_said, pull_said
from jobs.geometry.study.results import Division, ShellPiece, Study
from jobs.geometry.study.store import study_from_json
from jobs.models import PieceStudy, Plan
from jobs.planning.results import MoldPlan
from jobs.planning.shape import FLANGE_WIDTH, MM2_PER_M2, MM3_PER_L, is_no_fill, way_words


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPiece:
    """One shell piece of a way: its pull in words and as it is typed, what it covers [m²], what it weighs [g] where known."""

    number: int
    pull: str
    degrees: str
    pinned: bool
    area_m2: float
    reach_mm: float
    mass_g: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of dividing the shell; `value` is what its button sends."""

    value: str
    words: str
    taken: bool
    pinned: bool
    fill_l: float
    fill_low_l: float
    fill_high_l: float
    no_fill: bool
    parting_m: float
    pieces: tuple[WayPiece, ...]
    order: str
    stuck: bool


def ways_of(study: PieceStudy | None, plan: Plan, made: MoldPlan | None) -> list[Way]:
    """List the ways that a study found, the taken one marked; fewest pieces first."""
    found = None if study is None else _read(study)
    if found is None:
        return []
    per_m2 = None
    if made is not None and made.shell is not None and made.shell.area.value > 0:
        per_m2 = made.shell.mass.value / made.shell.area.value
    shown = list(found.divisions)
    if found.taken is not None and found.taken not in shown:
        shown.append(found.taken)
    shown.sort(key=lambda one: (len(one.pieces), not _pinned(one), one.rank))
    free, fits = not plan.pinned_pulls and not plan.parting, study is not None and study.fits
    return [_way(one, per_m2, wall_mm=found.wall_mm, taken=_is_taken(one, found, plan, free=free, fits=fits)) for one in shown]


def order_words(division: Division) -> str:
    """Say in which order the pieces come off, or what holds them."""
    if len(division.order) == len(division.pieces):
        return ", then ".join(str(number) for number in division.order)
    held = "; ".join(f"{a} is held by {b}" for a, b in division.blocked[:4])
    return f"none found: {held}" if held else "none found"


def _is_taken(one: Division, found: Study, plan: Plan, *, free: bool, fits: bool) -> bool:
    if fits:
        return one == found.taken
    return free and not _pinned(one) and (len(one.pieces), one.rank) == (plan.shell_pieces, plan.division_rank)


def _way(one: Division, per_m2: float | None, *, wall_mm: float, taken: bool) -> Way:
    fill, bound = one.fill_mm3 / MM3_PER_L, one.fill_bound_mm3 / MM3_PER_L
    return Way(
        value=f"{len(one.pieces)}-{one.rank}",
        words=way_words(one),
        taken=taken,
        pinned=_pinned(one),
        fill_l=fill,
        fill_low_l=max(fill - bound, 0.0),
        fill_high_l=fill + bound,
        no_fill=is_no_fill(one, wall_mm),
        parting_m=one.parting_mm / 1000,
        pieces=tuple(_piece(piece, one, per_m2) for piece in one.pieces),
        order=order_words(one),
        stuck=len(one.order) != len(one.pieces),
    )


def _piece(piece: ShellPiece, of: Division, per_m2: float | None) -> WayPiece:
    whole = sum(one.area_mm2 for one in of.pieces)
    flanges = 2 * of.parting_mm * FLANGE_WIDTH.value
    grown = (of.outside_mm2 + flanges) / whole if whole else 1.0
    area = piece.area_mm2 / MM2_PER_M2
    return WayPiece(
        number=piece.number, pull=pull_said(piece.pull), degrees=degrees_said(piece.pull), pinned=piece.pinned, area_m2=area,
        reach_mm=piece.reach_mm, mass_g=None if per_m2 is None else per_m2 * area * grown,
    )  # fmt: skip


def _read(study: PieceStudy) -> Study | None:
    try:
        return study_from_json(study.figures or {})
    except GeometryError:
        return None


def _pinned(one: Division) -> bool:
    return any(piece.pinned for piece in one.pieces)
