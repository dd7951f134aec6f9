"""From tape readings to one closed mesh, so that a measured piece is studied and drawn like a scanned one."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from jobs.geometry.body import body_from_solid
from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Solid
from jobs.geometry.raw_mesh import Doubles, Ints
from jobs.geometry.stack import Ring, profile_points, rings_of
from jobs.geometry.tape import TapeBrief, takeoff_from_tape
from jobs.geometry.tape_drilling import drilled
from jobs.geometry.tape_joining import plugged, settle, shape_of, sunk
from jobs.geometry.tape_places import Places
from jobs.geometry.tape_shapes import SIDES, as_arrays, as_manifold, mesh_area, mesh_volume, revolved, solid_mesh
from studio.figures import Remark

# Beyond this many, every solid of the piece is drawn with fewer sides.
MANY = 24
# How many solids of one entry find their own depth, few or many of them; the others are sunk like the last of these.
SETTLED_OF_FEW, SETTLED_OF_MANY = 12, 3
TOLERANCE = 0.015


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeMesh:
    """The mesh, (n, 3) float64 in mm with z up and its base at z = 0, (m, 3) int64, and what is to be said of it."""

    vertices: Doubles
    faces: Ints
    remarks: tuple[Remark, ...]


def mesh_from_tape(brief: TapeBrief) -> tuple[Doubles, Ints]:
    """Return the mesh of `tape_mesh` alone: vertices (n, 3) float64 [mm] and faces (m, 3) int64."""
    made = tape_mesh(brief)
    return made.vertices, made.faces


def tape_mesh(brief: TapeBrief) -> TapeMesh:
    """Make one closed mesh of all that a tape told.

    Girths become a body of 96 sides whose perimeters are the girths; solids are set evenly around its side, sunk until
    area and volume come nearest to the readings; hollows are cut out of it. Accepts whatever `takeoff_from_tape` accepts.

    Raises
    ------
    GeometryError
        As `takeoff_from_tape` does.

    Notes
    -----
    Where it cannot be made as told (solids run into each other, hollows eat the body), a remark says by how much area
    and volume differ; where nothing can be joined at all, the body stands alone.
    """
    takeoff = takeoff_from_tape(brief)
    body, others, remarks = _body(brief)
    made, why, flat = body, _RUN_INTO_EACH_OTHER, not len(body[0])
    if others:
        try:
            joined = as_arrays(_alone(others)) if flat else as_arrays(_joined(*body, others, on_board=brief.stands_on_board))
        except (GeometryError, RuntimeError, ValueError):
            joined = None
        if joined is None or not len(joined[1]) or mesh_volume(*joined) <= 0:
            remarks.append(_LEFT_OUT)
            why = _ALONE
        else:
            made, why = joined, _FLAT if flat else why
            remarks.append(_SIDE_BY_SIDE if flat else _SET_AROUND)
    vertices, faces = made
    vertices = vertices - (0.0, 0.0, vertices[:, 2].min())
    area = mesh_area(vertices, faces, on_board=brief.stands_on_board)
    volume = mesh_volume(vertices, faces)
    remarks += difference_told(area * 1e-6 / takeoff.area.value, volume * 1e-9 / takeoff.volume.value, because=why)
    return TapeMesh(vertices=vertices, faces=faces, remarks=tuple(remarks))


_LEFT_OUT = Remark(
    key="tape_body_alone",
    text=(
        "The solids and hollows of this piece could not be joined with its body; the drawings show the body alone. The "
        "rubber is reckoned from all readings."
    ),
)
_SET_AROUND = Remark(
    key="tape_set_around",
    text=(
        "A tape does not tell where solids and hollows sit: the drawings set them evenly around the side, sunk until area "
        "and volume come nearest to the readings. Send a scan to see them in their places."
    ),
)
_SIDE_BY_SIDE = Remark(
    key="tape_side_by_side",
    text=(
        "The girths of this piece have no height between them: the drawings show its solids alone, side by side on the board. "
        "Send a scan to see them in their places."
    ),
)
_RUN_INTO_EACH_OTHER = "solids or hollows run into each other or do not fit on the side"
_ALONE = "its solids and hollows are left out"
_FLAT = "its flat body and its hollows are left out, and its solids stand side by side"


def difference_told(area_ratio: float, volume_ratio: float, *, because: str = _RUN_INTO_EACH_OTHER) -> list[Remark]:
    """Say by how much a drawn shape differs from its readings and why, nothing within 1.5 %; ratios are drawn over read."""
    if max(abs(area_ratio - 1), abs(volume_ratio - 1)) <= TOLERANCE:
        return []

    def said(share: float, what: str) -> str:
        return f"{abs(share) * 100:.2g} % {'more' if share > 0 else 'less'} {what}"

    text = (
        f"The shape drawn has {said(area_ratio - 1, 'surface')} and {said(volume_ratio - 1, 'volume')} than the readings tell, "
        f"because {because}. The rubber is reckoned from the readings."
    )
    return [Remark(key="tape_mesh_differs", text=text)]


def _body(brief: TapeBrief) -> tuple[tuple[Doubles, Ints], tuple[Solid, ...], list[Remark]]:
    """Return the mesh of the body alone, what is still to be joined, and what is to be said of the body."""
    if brief.girths:
        rings = rings_of(brief.girths)
        if sum(ring.height_mm for ring in rings) <= 0:
            return (np.empty((0, 3)), np.empty((0, 3), dtype=np.int64)), brief.solids, []
        return revolved(profile_points(rings)), brief.solids, _straightened(rings)
    first = brief.solids[0]
    body_from_solid(first, on_board=brief.stands_on_board)
    return solid_mesh(first.kind, first.dimensions_mm), brief.solids[1:], []


def _straightened(rings: tuple[Ring, ...]) -> list[Remark]:
    straight = sum(math.pi * (r.lower_mm + r.upper_mm) * math.hypot(r.height_mm, r.upper_mm - r.lower_mm) for r in rings)
    told = sum(ring.side_mm2 for ring in rings)
    if straight >= 0.995 * told:
        return []
    text = (
        f"The tape along the surface is longer than the straight way between the girths; the shape drawn is straight there "
        f"and has {100 * (1 - straight / told):.2g} % less side. The rubber is reckoned from the readings."
    )
    return [Remark(key="tape_straightened", text=text)]


def _joined(vertices: Doubles, faces: Ints, others: tuple[Solid, ...], *, on_board: bool) -> Any:
    """Return the body with all solids on it and all hollows cut out of it."""
    import manifold3d

    body, places = as_manifold(vertices, faces), Places(vertices, faces)
    sides = _sides(others)
    round_body = len(faces) > 12
    added, taken = [body], []
    for solid in others:
        shape = shape_of(solid, sides=sides)
        if solid.through:
            taken += drilled(solid, shape, body, places)
            continue
        settled: list[tuple[float, Any]] = []
        most = SETTLED_OF_FEW if solid.count <= MANY else SETTLED_OF_MANY
        for row in places.rows(solid):
            for number, place in enumerate(row):
                # All of a row lie alike on a round body, and one after another alike enough when there are many.
                if (number == 0 or not round_body) and len(settled) < most:
                    depth, plug = settle(body, solid, shape, place)
                    settled.append((depth, plugged(solid, shape, plug)))
                depth, ready = settled[-1]
                (taken if solid.taken_away else added).append(sunk(solid, ready, place, depth))
    made = manifold3d.Manifold.batch_boolean(added, manifold3d.OpType.Add)
    if taken:
        made -= manifold3d.Manifold.batch_boolean(taken, manifold3d.OpType.Add)
    if on_board:
        made = made.trim_by_plane((0.0, 0.0, 1.0), 0.0)
    # Slivers where two surfaces graze each other, and closed holes that no rubber reaches.
    least = 1e-6 * made.volume()
    return manifold3d.Manifold.compose([part for part in made.decompose() if part.volume() > least])


def _alone(others: tuple[Solid, ...]) -> Any:
    """Return the added solids of a body that is flat, standing beside each other on the board."""
    import manifold3d

    parts, at = [], 0.0
    for solid in (solid for solid in others if not solid.taken_away):
        shape = as_manifold(*solid_mesh(solid.kind, solid.dimensions_mm, sides=_sides(others)))
        box = shape.bounding_box()
        wide = box[3] - box[0]
        for _ in range(solid.count):
            parts.append(shape.translate((at - box[0], 0, 0)))
            at += wide * (1 + 1e-4)
    made = manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Add)
    return made.translate((-at / 2, 0, 0))


def _sides(others: tuple[Solid, ...]) -> int:
    number = sum(solid.count for solid in others)
    return SIDES if number <= MANY else 48 if number <= 4 * MANY else 24
