"""How deep a solid is sunk into the body, so that area and volume come out as the tape told."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from jobs.geometry.extras import Solid
from jobs.geometry.solids import SolidKind, measure_solid
from jobs.geometry.tape_places import Place, half_width
from jobs.geometry.tape_shapes import as_manifold, solid_mesh

FACED = (SolidKind.HEMISPHERE, SolidKind.BOX, SolidKind.CYLINDER, SolidKind.CONE, SolidKind.FRUSTUM)
TRIES, ROUNDS = 7, 3
GOOD = 3e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a solid is to add to the body: mm² and mm³, negative for what it takes away."""

    area_mm2: float
    volume_mm3: float


def wanted_of(solid: Solid) -> Wanted:
    """Return what one solid of an entry counts for in the takeoff."""
    measure = measure_solid(solid.kind, solid.dimensions_mm)
    mouths = 2 if solid.through else 1
    area = measure.closed.area_mm2 - 2 * mouths * contact_of(solid)
    return Wanted(area_mm2=area, volume_mm3=-measure.volume_mm3 if solid.taken_away else measure.volume_mm3)


def contact_of(solid: Solid) -> float:
    """Return the area by which a solid touches the body, or by which a hollow opens. [mm²]"""
    if solid.contact_area_mm2 is not None:
        return solid.contact_area_mm2
    return measure_solid(solid.kind, solid.dimensions_mm).face_area_mm2


def shape_of(solid: Solid, *, sides: int) -> Any:
    """Return a solid as it stands out of a body at the origin, its contact at z = 0; a ring stands on its rim."""
    shape = as_manifold(*solid_mesh(solid.kind, solid.dimensions_mm, sides=sides))
    if solid.kind is SolidKind.TORUS:
        return shape.translate((0, 0, -solid.dimensions_mm[1] / 2)).rotate((90, 0, 0)).translate((0, 0, half_width(solid)))
    return shape


def plugged(solid: Solid, shape: Any, plug_mm: float) -> Any:
    """Return a solid ready to be sunk: a hollow behind its mouth, its flat face drawn out by a plug.

    The plug goes into the body for what is added and out of it for a hollow, so that a flat face joins a round side.
    """
    if solid.taken_away:
        shape = shape.mirror((0, 0, 1))
    if plug_mm <= 0:
        return shape
    hair = 1e-4 * half_width(solid)
    face = shape.slice(-hair / 100 if solid.taken_away else hair / 100)
    # Its end reaches a hair past the face: two shapes that only touch would stay two.
    low, high = (-hair, plug_mm) if solid.taken_away else (-plug_mm, hair)
    return shape + face.extrude(high - low).translate((0, 0, low))


def sunk(solid: Solid, ready: Any, place: Place, depth: float) -> Any:
    """Return what `plugged` made at its place, sunk by a depth; a hollow moves outward, so that its mouth opens wider."""
    along = depth if solid.taken_away else -depth
    return ready.transform(np.column_stack([place.axes.T, place.point + along * place.axes[2]]))


def settle(body: Any, solid: Solid, shape: Any, place: Place) -> tuple[float, float]:
    """Return the depth and the plug with which one solid comes nearest to what it is to add."""
    wanted, size = wanted_of(solid), half_width(solid)
    faced = solid.kind in FACED
    deep = _depth(solid)
    ways = [(1e-3 * size, deep, 0.0)]
    radius = float(np.hypot(*place.point[:2]))
    if faced and size < radius:
        bulge = radius - math.sqrt(radius**2 - size**2)
        ways.insert(0, (0.0, bulge, bulge + 0.02 * size))
    area, volume = body.surface_area(), body.volume()
    whole = Wanted(area_mm2=abs(area + wanted.area_mm2), volume_mm3=abs(volume + wanted.volume_mm3))

    def miss(depth: float, ready: Any) -> float:
        part = sunk(solid, ready, place, depth)
        made = body - part if solid.taken_away else body + part
        off_area = (made.surface_area() - area - wanted.area_mm2) / whole.area_mm2
        off_volume = (made.volume() - volume - wanted.volume_mm3) / whole.volume_mm3
        return float(abs(off_area) + abs(off_volume))

    found: list[tuple[float, float, float]] = []
    for low, high, plug in ways:
        start, end, ready = low, high, plugged(solid, shape, plug)
        for _ in range(ROUNDS):
            depths = np.linspace(start, end, TRIES)
            misses = [miss(float(depth), ready) for depth in depths]
            best = int(np.argmin(misses))
            found.append((misses[best], float(depths[best]), plug))
            if misses[best] < GOOD:
                return found[-1][1:]
            start, end = float(depths[max(best - 1, 0)]), float(depths[min(best + 1, TRIES - 1)])
    return min(found)[1:]


def _depth(solid: Solid) -> float:
    """Return how far a solid stands out of the body. [mm]"""
    lengths = solid.dimensions_mm
    match solid.kind:
        case SolidKind.HEMISPHERE:
            return lengths[0] / 2
        case SolidKind.TORUS:
            return lengths[0] + lengths[1]
    return lengths[-1]
