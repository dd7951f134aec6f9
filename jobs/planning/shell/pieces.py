"""What the shell covers, and the share of each of its pieces."""

from jobs.geometry.coats import flange_outside, outer_area
from jobs.planning.brief import PlanBrief, ShellBrief
from jobs.planning.shape import FLANGE_WIDTH
from jobs.planning.sums import scaled
from studio.figures import Figure, Given, Source, SourceKind

USUAL_FLANGES = Given(
    label="Flanges, as a share of the shell", value=15.0, unit="%", source=Source(kind=SourceKind.COMMON_PRACTICE)
)


def shell_area(brief: PlanBrief, shell: ShellBrief) -> Figure:
    """Return the shell's area with its flanges [m²]: over the filled outside where the shape is known."""
    shape = brief.shape
    if shape is None or shape.outside_m2 is None or shape.parting_m is None:
        return _with_share(outer_area(brief.takeoff, brief.wall_mm.value), shell.flange_share_percent or USUAL_FLANGES)
    board = flange_outside(brief.takeoff, brief.wall_mm.value)
    outside = Figure(
        key="shell_outside", label="Filled outside and board flange", value=shape.outside_m2.value + board.value, unit="m2",
        formula="filled outside + flange beyond the wall", given=(shape.outside_m2, board),
    )  # fmt: skip
    if shell.flange_share_percent is not None:
        return _with_share(outside, shell.flange_share_percent)
    seam = brief.seam_length_m or shape.parting_m
    flanges = Figure(
        key="shell_flanges", label="Parting flanges", value=2 * seam.value * FLANGE_WIDTH.value / 1000, unit="m2",
        formula="2 × parting × width of a flange", given=(seam, FLANGE_WIDTH),
    )  # fmt: skip
    return Figure(
        key="shell_area", label="Shell with its flanges", value=outside.value + flanges.value, unit="m2",
        formula="outside + parting flanges", given=(outside, flanges),
    )  # fmt: skip


def parting_length(brief: PlanBrief) -> Given | None:
    """Return the length over which shell pieces meet, as typed or from the shape; None where neither is known [m]."""
    found = brief.seam_length_m or (None if brief.shape is None else brief.shape.parting_m)
    return None if found is None or found.value <= 0 else found


def piece_masses(brief: PlanBrief, shell: ShellBrief, mass: Figure) -> tuple[Figure, ...]:
    """Return the mass of each piece by its share of the outside; empty where the pieces are not known [g]."""
    pieces = () if brief.shape is None else brief.shape.pieces
    whole = sum(piece.area_mm2 for piece in pieces)
    if len(pieces) != shell.pieces or whole <= 0:
        return ()
    found = Source(kind=SourceKind.COMPUTED, text="from the shape")
    return tuple(
        scaled(
            mass, piece.area_mm2 / whole, key=f"shell_mass_{number}", label=f"Shell piece {number}", unit="g",
            formula="mass of the shell × this piece's share of the outside",
            given=(Given(label="Its part of the outside", value=piece.area_mm2 / 1e6, unit="m2", source=found),),
        )
        for number, piece in enumerate(pieces, start=1)
    )  # fmt: skip


def _with_share(outside: Figure, share: Given) -> Figure:
    return scaled(
        outside, 1 + share.value / 100, key="shell_area", label="Shell with its flanges", unit="m2",
        formula="outside of the blanket × (1 + share of flanges)", given=(share,),
    )  # fmt: skip
