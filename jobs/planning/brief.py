"""What a plan is made from: the takeoff, the chosen materials, and the decisions of the mold maker."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from jobs.planning.shape import ShapeBrief
from materials.properties import Chemistry
from materials.science.compatibility import Surface
from materials.science.material import MaterialSpec
from studio.figures import Given

if TYPE_CHECKING:
    from jobs.geometry.takeoff import Takeoff


class Making(StrEnum):
    """How the rubber gets round the piece."""

    BRUSHED = "brushed"
    POURED = "poured"
    BLOCK = "block"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "brushed": "Brushed, coat over coat",
            "poured": "Poured into the gap under a shell",
            "block": "Poured as a block in a box",
        }[self.value]


class Deairing(StrEnum):
    """How air gets out of the rubber that meets the face."""

    THIN = "thin"
    VACUUM = "vacuum"
    NONE = "none"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {"thin": "A thin first coat", "vacuum": "Vacuum", "none": "Nothing"}[self.value]


class ShellKind(StrEnum):
    """How the rigid backing is made."""

    LAMINATE = "laminate"
    PLASTER = "plaster"
    PUTTY = "putty"
    BRUSHED = "brushed"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "laminate": "Glass and resin",
            "plaster": "Plaster and fibre",
            "putty": "Putty",
            "brushed": "Brushed plastic",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapSpec:
    """Old rubber at hand: what it is and how much of it is cut to this size."""

    key: int | str
    name: str
    chemistry: Chemistry
    family: str
    density_kg_m3: Given
    chunk_edge_mm: Given
    available_g: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellBrief:
    """The shell: its kind, its layers or thickness, and how many pieces it comes off in.

    `material` is the resin, plaster, putty or brush-on plastic; `reinforcement` the glass or fibre (None for putty and
    plastic). `layers` counts layers of reinforcement or of brushed plastic; `thickness_mm` is wanted for plaster, putty
    and plastic. `flange_share_percent` is the parting flanges' area as a share of the shell's own; None takes it from the
    length of the parting where that is known.
    """

    kind: ShellKind
    material: MaterialSpec
    pieces: int
    layers: Given
    flange_share_percent: Given | None = None
    reinforcement: MaterialSpec | None = None
    thickness_mm: Given | None = None
    bolt_spacing_mm: Given | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CastingBrief:
    """The run: resin, wall, skins and number of castings.

    `turning_rpm` are turns of the slow outer axis; `turning_ratio` is turns of the inner axis to one of the outer.
    """

    resin: MaterialSpec
    wall_mm: Given
    skins: int
    count: int
    tint: MaterialSpec | None = None
    turning_rpm: Given | None = None
    turning_ratio: Given | None = None
    turning_radius_m: Given | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBrief:
    """Everything that `make_plan` needs; numbers are `Given` so that the working can show where they come from.

    `build_coats` None lets the held thickness decide. `scrap_share_percent` is the share of the fill that is packed
    with scrap; `packing_fraction` the space those chunks take (1 = solid). `minutes_overrides` replaces the minutes of
    a task by its key. `shape` holds what was found on the measured shape, which stands in for what nobody typed;
    `positions_typed` is the number of positions where a person typed it. `making` says how the rubber is laid; a poured
    blanket or a block is one pour in place of coats. `night_temperature_c` None means that the room stays as warm as by day.
    `deairing` None takes what the plan suggests. `widest_girth_mm` must pass through `opening_girth_mm` when the blanket is
    pulled off. `box_margin_mm` is the least rubber between the piece and the box of a block. `piece_mass_g`
    None means that nobody weighed the piece.
    """

    takeoff: "Takeoff"
    surface: Surface
    sealed: bool
    rubber: MaterialSpec
    wall_mm: Given
    print_coat_mm: Given
    closing_coat_mm: Given
    temperature_c: Given
    rates: Mapping[str, Given]
    thickener: MaterialSpec | None = None
    tint: MaterialSpec | None = None
    release: MaterialSpec | None = None
    sealer: MaterialSpec | None = None
    build_coats: int | None = None
    thicken_print_coat: bool = False
    fill_volume_l: Given | None = None
    scrap_share_percent: Given | None = None
    packing_fraction: Given | None = None
    scrap: ScrapSpec | None = None
    shell: ShellBrief | None = None
    casting: CastingBrief | None = None
    seam_length_m: Given | None = None
    positions: int = 1
    positions_typed: Given | None = None
    shape: ShapeBrief | None = None
    people_per_coat: int = 1
    making: Making = Making.BRUSHED
    molds: int = 1
    deairing: Deairing | None = None
    night_temperature_c: Given | None = None
    humidity_percent: Given | None = None
    strip_width_mm: Given | None = None
    strip_height_mm: Given | None = None
    widest_girth_mm: Given | None = None
    opening_girth_mm: Given | None = None
    box_margin_mm: Given | None = None
    key_spacing_mm: Given | None = None
    piece_mass_g: Given | None = None
    minutes_overrides: Mapping[str, float] = field(default_factory=dict)
