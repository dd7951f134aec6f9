"""From a measured mesh to the takeoff, with its faults and what they cost."""

import math
from collections.abc import Callable
from dataclasses import replace

from jobs.geometry.errors import GeometryError
from jobs.geometry.flange import flange_figure
from jobs.geometry.measured import Fault, Method, Takeoff
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_limits import MAX_EXTENT_MM, MIN_EXTENT_MM
from jobs.geometry.mesh_measure import MeshMeasure, measure_welded
from jobs.geometry.mesh_section import middle_section
from jobs.geometry.mesh_steps import PLAIN, MeshSteps
from jobs.geometry.mesh_units import UNIT_NAMES, scale_of
from jobs.geometry.raw_mesh import Doubles, RawMesh
from jobs.geometry.spreads import spread_range, volume_spread_percent
from jobs.geometry.walls import MeasuredWalls
from jobs.geometry.walls_remarks import by_formula, to_come
from studio.figures import COMPUTED, Figure, Given, Remark, Source, SourceKind

SCAN = Source(kind=SourceKind.MEASURED, text="3D scan")


def takeoff_from_mesh(
    mesh: RawMesh,
    brief: MeshBrief,
    *,
    walls_of: Callable[[MeshMeasure], MeasuredWalls | None] | None = None,
    steps: MeshSteps = PLAIN,
    report: Callable[[Takeoff], None] | None = None,
) -> Takeoff:
    """Compute the takeoff of a scanned piece.

    Parameters
    ----------
    mesh : RawMesh
        As read, in its own unit.
    brief : MeshBrief
        Unit, axis that points up, board, flange and texture.
    walls_of : callable, optional
        Measures walls over and inside the mesh; when it gives none, a remark says that the formula stands in.
    steps : MeshSteps
        What measuring is made of; the compiled ones are faster.
    report : callable, optional
        Given the takeoff before its walls are measured, which takes longest; a remark in it says so.

    Raises
    ------
    GeometryError
        When the size cannot be that of a piece, or nothing is left to coat.
    """
    points, triangles = (mesh.vertices.astype(float), mesh.faces) if mesh.welded else steps.weld(mesh.vertices, mesh.faces)
    split_polygons = mesh.split_polygons
    del mesh
    points = upright(points, brief)
    _refuse_odd_size(points, brief.unit)
    measure = measure_welded(points, triangles, stands_on_board=brief.stands_on_board, steps=steps)
    del points, triangles
    if measure.volume_mm3 <= 1e-9 * max(measure.box_mm) ** 3:
        raise GeometryError(
            "The mesh encloses no volume: it is a flat sheet, or its faces look in all directions. Close it in the "
            "scanning program, or measure the piece with a tape."
        )
    takeoff = _without_walls(measure, brief, split_polygons)
    if walls_of is None:
        return takeoff
    if report is not None:
        report(to_come(takeoff))
    walls = walls_of(measure)
    return by_formula(takeoff) if walls is None else replace(takeoff, walls=walls)


def _without_walls(measure: MeshMeasure, brief: MeshBrief, split_polygons: int) -> Takeoff:
    spread = brief.spread_percent.value
    rim = _figure("rim_length", "Rim on the board", measure.rim_mm * 1e-3, "m", "edges along the board")
    outline = middle_section(measure.vertices, measure.exposed)
    return Takeoff(
        method=Method.SCAN,
        stands_on_board=brief.stands_on_board,
        area=_figure("area", "Surface to coat", measure.area_mm2 * 1e-6, "m2", _area_formula(measure), measure, spread),
        volume=_figure(
            "volume", "Volume of the piece", measure.volume_mm3 * 1e-9, "m3", "the sum under all triangles", measure,
            volume_spread_percent(spread),
        ),
        mean_curvature=_figure(
            "mean_curvature", "Bend of the surface", measure.bend_mm * 1e-3, "m",
            "½ × sum over edges of length × angle turned (outward +, inward −)", measure,
        ),
        sphere_part=measure.parts.cube,
        inner_curvature=_figure(
            "inner_curvature", "Bend of the surface, from inside", measure.inner_bend_mm * 1e-3, "m",
            "sum over edges: length × tan(½ angle) outward, ½ × length × angle inward", measure,
        ),
        inner_sphere_part=measure.parts.cube,
        footprint_area=_figure(
            "footprint_area", "Footprint on the board", measure.footprint_mm2 * 1e-6, "m2", "area inside the rim"
        ),
        rim_length=rim,
        flange_area=flange_figure(rim, brief.flange_width_mm, stands_on_board=brief.stands_on_board),
        box_mm=measure.box_mm,
        texture_factor=brief.texture,
        spread_percent=brief.spread_percent,
        remarks=_remarks(measure, brief, has_outline=outline is not None),
        faults=faults_of(measure, split_polygons),
        outline=outline,
    )  # fmt: skip


def faults_of(measure: MeshMeasure, split_polygons: int) -> tuple[Fault, ...]:
    """List what is wrong with a scan, how often, and what it costs the figures."""
    parts = measure.parts
    hole_share = 100 * measure.hole_length_mm**2 / (4 * math.pi) / measure.area_mm2
    crowded_share = 100 * measure.crowded_length_mm / max(measure.edge_length_mm, 1e-12)
    found = (
        ("edges of holes", measure.hole_edges,
         f"{measure.hole_length_mm:.0f} mm of open edge: at most {hole_share:.2g} % of the area is missing, and the "
         "volume is off accordingly"),
        ("edges shared by three or more faces", measure.crowded_edges,
         f"their bend is left out: {crowded_share:.2g} % of all edges by length"),
        ("edges whose faces disagree on which side is out", measure.flipped_edges,
         "the area holds; the volume may be too low, and the bend of these edges may count with the wrong sign"),
        ("faces without any surface", measure.collapsed_faces, "none: they add no area and no volume"),
        ("specks floating beside the piece", parts.debris, "their area is counted, each under 0.1 %"),
        ("tunnels through the surface", parts.handles, "taken for flaws of the scan, which the rubber bridges"),
        ("faces looking inward", len(measure.exposed) if measure.turned_out else 0, "none: all were turned"),
        ("faces that disagreed with their neighbours", measure.turned_faces, "none: turned, so that all look outward"),
        ("faces of more than three corners", split_polygons, "split into triangles; exact where they are flat"),
    )  # fmt: skip
    return tuple(Fault(name=name, count=int(count), cost=cost) for name, count, cost in found if count)


def _remarks(measure: MeshMeasure, brief: MeshBrief, *, has_outline: bool) -> tuple[Remark, ...]:
    parts = measure.parts
    remarks = []
    if brief.stands_on_board and not measure.based:
        remarks.append(Remark(
            key="no_flat_base",
            text="No flat base was found at the lowest point, so the whole surface counts as coated. If the piece stands "
            "on its base, check which side is up.",
        ))  # fmt: skip
    if parts.count - parts.debris > 1:
        remarks.append(Remark(
            key="several_surfaces",
            text=f"The scan holds {parts.count - parts.debris} separate surfaces; the area of all of them is counted.",
        ))  # fmt: skip
    if parts.inward:
        remarks.append(Remark(
            key="inner_surface",
            text=f"{parts.inward} of its surfaces look inward: an inner wall of a hollow model gets no rubber, yet its "
            "area is counted. Delete it in the scanning program.",
        ))  # fmt: skip
    if not has_outline:
        remarks.append(Remark(key="no_section", text="No section through the middle could be drawn from this scan."))
    return tuple(remarks)


def upright(points: Doubles, brief: MeshBrief) -> Doubles:
    """Scale to mm and turn the chosen axis up, without mirroring."""
    axis = "xyz".index(brief.up_axis[-1])
    turned: Doubles = points[:, [(axis + 1) % 3, (axis + 2) % 3, axis]] * scale_of(brief.unit)
    return turned * [1.0, -1.0, -1.0] if brief.up_axis.startswith("-") else turned


def _refuse_odd_size(vertices: Doubles, unit: str) -> None:
    extents = vertices.max(axis=0) - vertices.min(axis=0)
    largest = float(extents.max())
    if not MIN_EXTENT_MM <= largest <= MAX_EXTENT_MM:
        raise GeometryError(
            f"In {UNIT_NAMES[unit]} the piece would measure {largest / 1000:.3g} m across. Choose another unit; it must "
            f"come out between {MIN_EXTENT_MM:g} mm and {MAX_EXTENT_MM / 1000:g} m."
        )


def _area_formula(measure: MeshMeasure) -> str:
    return "the sum over all triangles" + (" but those of the base" if measure.based else "")


def _figure(
    key: str, label: str, value: float, unit: str, formula: str, measure: MeshMeasure | None = None, spread: float = 0.0
) -> Figure:
    low, high = spread_range(value, spread) if spread else (None, None)
    given: tuple[Given, ...] = ()
    if measure is not None:
        given = (Given(label="Triangles", value=float(len(measure.exposed)), unit="1", source=SCAN),)
    return Figure(
        key=key,
        label=label,
        value=value,
        unit=unit,
        formula=formula,
        given=given,
        source=COMPUTED if measure is None else SCAN,
        low=low,
        high=high,
    )
