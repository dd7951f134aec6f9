"""A stack of girths read as cone frusta: sides, discs, volume and bend, each with its working."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from jobs.geometry.errors import GeometryError
from studio.figures import Figure, Given, Source, SourceKind

MAX_GIRTH_MM = 20_000.0
MAX_GIRTHS = 100
# A tape read twice seldom agrees better than this; a distance short by less is taken for a flat ring.
TAPE_TOLERANCE = 0.02
TAPE = Source(kind=SourceKind.MEASURED, text="tape")


@dataclass(frozen=True, slots=True, kw_only=True)
class Girth:
    """One tape reading round the piece, and how far the next one lies.

    `along_mm` is measured along the surface up to the next girth (the last girth's is not used); `height_mm` is the
    upright distance, which is worked out when it is not given. A pointed top has a girth of 0.
    """

    girth_mm: float
    along_mm: float = 0.0
    height_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """The surface between two girths: radii, distance along it and upright."""

    lower_mm: float
    upper_mm: float
    along_mm: float
    height_mm: float

    @property
    def side_mm2(self) -> float:
        """Area of the side; exact for a cone frustum."""
        return math.pi * (self.lower_mm + self.upper_mm) * self.along_mm

    @property
    def volume_mm3(self) -> float:
        """Volume between the two girths."""
        r, s = self.lower_mm, self.upper_mm
        return math.pi * self.height_mm / 3 * (r * r + r * s + s * s)

    @property
    def direction(self) -> float:
        """Angle of the side in the upright half plane: 0 runs outward, π/2 straight up, π inward. [rad]"""
        return math.atan2(self.height_mm, self.upper_mm - self.lower_mm)


def rings_of(girths: Sequence[Girth]) -> tuple[Ring, ...]:
    """Check a stack of girths and turn it into rings, or say which reading cannot be."""
    if not 2 <= len(girths) <= MAX_GIRTHS:
        raise GeometryError(f"Give at least two girths and at most {MAX_GIRTHS}.")
    for number, reading in enumerate(girths, start=1):
        at_an_end = number in (1, len(girths))
        if not math.isfinite(reading.girth_mm) or reading.girth_mm < 0 or (reading.girth_mm == 0 and not at_an_end):
            raise GeometryError(f"Girth {number} must be more than 0 mm; only the first or last may come to a point.")
        if reading.girth_mm > MAX_GIRTH_MM:
            raise GeometryError(f"Girth {number} is over {MAX_GIRTH_MM:g} mm; check its unit.")
    return tuple(_ring(lower, upper, number) for number, (lower, upper) in enumerate(pairwise(girths), start=1))


def _ring(lower: Girth, upper: Girth, number: int) -> Ring:
    between = f"between girths {number} and {number + 1}"
    along = lower.along_mm
    if not math.isfinite(along) or not 0 < along <= MAX_GIRTH_MM:
        raise GeometryError(f"Give the distance along the surface {between}; it must be more than 0 mm.")
    r, s = lower.girth_mm / (2 * math.pi), upper.girth_mm / (2 * math.pi)
    step = abs(s - r)
    if step > along * (1 + TAPE_TOLERANCE):
        raise GeometryError(
            f"The distance {between} is {along:g} mm, but the radius changes by {step:.0f} mm there, which needs at "
            "least as much. Check both girths and the distance."
        )
    if lower.height_mm is None:
        return Ring(lower_mm=r, upper_mm=s, along_mm=max(along, step), height_mm=math.sqrt(max(along**2 - step**2, 0.0)))
    height = lower.height_mm
    if not math.isfinite(height) or height < 0:
        raise GeometryError(f"The height {between} must be 0 mm or more.")
    if math.hypot(height, step) > along * (1 + TAPE_TOLERANCE):
        raise GeometryError(
            f"The height {between} is {height:g} mm, more than the {along:g} mm along the surface allow. Measure the "
            "distance along the surface, not upright."
        )
    return Ring(lower_mm=r, upper_mm=s, along_mm=max(along, math.hypot(height, step)), height_mm=height)


def stack_bend_mm(rings: Sequence[Ring], *, on_board: bool, inside: bool = False) -> float:
    """Integrate the mean curvature over a stack of cone frusta.

    Parameters
    ----------
    rings : sequence of Ring
        From the base up.
    on_board : bool
        Whether the base rests on a board; the base disc then is no surface, and its rim holds only the wedge between
        the side and the board.
    inside : bool
        For a wall on the inside, which fills a sharp corner (r tan(θ/2)) instead of going round it (r θ/2).

    Returns
    -------
    float
        Coefficient of t². [mm]

    Notes
    -----
    A side bends only round the axis, 1/ρ across it: ½∮(1/ρ) dA = π × its height, whatever its slope. Each ring edge of
    radius r adds π r θ, θ the turn of the profile there: outward corners positive, hollow ones negative.

    References
    ----------
    From ½ Σ ℓ θ over the edges of a polyhedron (published: Steiner; from memory), in the limit of many sides.
    """
    total = math.pi * sum(ring.height_mm for ring in rings)
    first, last = rings[0], rings[-1]
    turns = [(lower.upper_mm, upper.direction - lower.direction) for lower, upper in pairwise(rings)]
    turns.append((last.upper_mm, math.pi - last.direction))
    if on_board:
        # Half of the piece mirrored in the board: its edge there turns by twice the lean of the side.
        total += _edge_mm(first.lower_mm, 2 * (first.direction - math.pi / 2), inside=inside) / 2
    else:
        turns.append((first.lower_mm, first.direction))
    return total + sum(_edge_mm(radius, turn, inside=inside) for radius, turn in turns)


def _edge_mm(radius_mm: float, turn: float, *, inside: bool) -> float:
    if inside and turn > 0:
        return 2 * math.pi * radius_mm * math.tan(min(turn, 2.8) / 2)
    return math.pi * radius_mm * turn


def profile_points(rings: Sequence[Ring]) -> tuple[tuple[float, float], ...]:
    """Return (radius, height) in mm from the base up, ending on the axis."""
    points = [(rings[0].lower_mm, 0.0)]
    height = 0.0
    for ring in rings:
        height += ring.height_mm
        points.append((ring.upper_mm, height))
    if points[-1][0] > 0:
        points.append((0.0, height))
    return tuple(points)


def side_figures(girths: Sequence[Girth], rings: Sequence[Ring]) -> tuple[Figure, ...]:
    """One figure a ring for the area of its side [m2]."""
    return tuple(
        Figure(
            key=f"side_{number}",
            label=f"Side between girths {number} and {number + 1}",
            value=ring.side_mm2 * 1e-6,
            unit="m2",
            formula="½ × (girth below + girth above) × distance along the surface",
            given=(
                Given(label=f"Girth {number}", value=lower.girth_mm, unit="mm", source=TAPE),
                Given(label=f"Girth {number + 1}", value=upper.girth_mm, unit="mm", source=TAPE),
                Given(label="Along the surface", value=ring.along_mm, unit="mm", source=TAPE),
            ),
        )
        for number, ((lower, upper), ring) in enumerate(zip(pairwise(girths), rings, strict=True), start=1)
    )


def disc_figure(girth: Girth, *, key: str, label: str) -> Figure:
    """The flat end inside a girth [m2]."""
    return Figure(
        key=key,
        label=label,
        value=girth.girth_mm**2 / (4 * math.pi) * 1e-6,
        unit="m2",
        formula="girth² ÷ 4π",
        given=(Given(label="Girth", value=girth.girth_mm, unit="mm", source=TAPE),),
    )


def volume_figures(girths: Sequence[Girth], rings: Sequence[Ring]) -> tuple[Figure, ...]:
    """One figure a ring for the volume between its girths [m3]."""
    return tuple(
        Figure(
            key=f"volume_{number}",
            label=f"Volume between girths {number} and {number + 1}",
            value=ring.volume_mm3 * 1e-9,
            unit="m3",
            formula="height ÷ 3 × (C₁² + C₁ C₂ + C₂²) ÷ 4π",
            given=(
                Given(label=f"Girth {number}, C₁", value=lower.girth_mm, unit="mm", source=TAPE),
                Given(label=f"Girth {number + 1}, C₂", value=upper.girth_mm, unit="mm", source=TAPE),
                _height_given(lower, ring),
            ),
        )
        for number, ((lower, upper), ring) in enumerate(zip(pairwise(girths), rings, strict=True), start=1)
    )


def _height_given(lower: Girth, ring: Ring) -> Given | Figure:
    if lower.height_mm is not None:
        return Given(label="Height", value=ring.height_mm, unit="mm", source=TAPE)
    return Figure(
        key="height",
        label="Height",
        value=ring.height_mm,
        unit="mm",
        formula="√(distance along the surface² − change of radius²)",
        given=(
            Given(label="Along the surface", value=ring.along_mm, unit="mm", source=TAPE),
            Given(label="Change of radius", value=abs(ring.upper_mm - ring.lower_mm), unit="mm", source=TAPE),
        ),
    )
