"""What the studio may know about a material: each property with its unit, meaning and valid range.

A pure table: forms, the starter catalogue and the computing core all read it, so a property is spelled once.
"""

from dataclasses import dataclass
from enum import StrEnum


class MaterialKind(StrEnum):
    """What a material is for."""

    RUBBER = "rubber"
    THICKENER = "thickener"
    TINT = "tint"
    RESIN = "resin"
    SHELL = "shell"
    REINFORCEMENT = "reinforcement"
    RELEASE = "release"
    CONSUMABLE = "consumable"

    @property
    def label(self) -> str:
        """The word a person reads."""
        return {"shell": "Shell material", "release": "Release or sealer"}.get(self.value, self.value.capitalize())


class Chemistry(StrEnum):
    """What a material is made of, as far as curing and bonding care."""

    PLATINUM_SILICONE = "platinum_silicone"
    TIN_SILICONE = "tin_silicone"
    POLYURETHANE = "polyurethane"
    POLYESTER = "polyester"
    EPOXY = "epoxy"
    GYPSUM = "gypsum"
    OTHER = "other"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return self.value.replace("_", " ").capitalize()


class MixBasis(StrEnum):
    """How a material's mix ratio is stated; 5 % on the base and 5 % of the mix are different instructions."""

    BY_WEIGHT = "by_weight"
    BY_VOLUME = "by_volume"
    PERCENT_ON_BASE = "percent_on_base"
    PERCENT_OF_MIX = "percent_of_mix"
    ONE_PART = "one_part"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "by_weight": "Parts by weight",
            "by_volume": "Parts by volume",
            "percent_on_base": "B as a percentage of A",
            "percent_of_mix": "B as a percentage of the whole mix",
            "one_part": "One part, used as it comes",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyKind:
    """One property: its unit, its meaning, which materials have it, and the range that is believable."""

    key: str
    label: str
    unit: str
    meaning: str
    kinds: frozenset[MaterialKind]
    least: float
    most: float
    required_for: str = ""


_RUBBER = frozenset({MaterialKind.RUBBER})
_RESIN = frozenset({MaterialKind.RESIN})
_MIXED = frozenset({MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL})
_CURING = _MIXED
_DENSE = _MIXED | {MaterialKind.THICKENER, MaterialKind.TINT, MaterialKind.REINFORCEMENT, MaterialKind.RELEASE}
_DOSED = frozenset({MaterialKind.THICKENER, MaterialKind.TINT, MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL})


def _kind(
    key: str,
    label: str,
    unit: str,
    meaning: str,
    kinds: frozenset[MaterialKind],
    bounds: tuple[float, float],
    required_for: str = "",
) -> PropertyKind:
    return PropertyKind(
        key=key,
        label=label,
        unit=unit,
        meaning=meaning,
        kinds=kinds,
        least=bounds[0],
        most=bounds[1],
        required_for=required_for,
    )


PROPERTY_KINDS: tuple[PropertyKind, ...] = (
    _kind(
        "parts_a_by_weight",
        "Parts A by weight",
        "1",
        "Parts of the base in the mix ratio by weight.",
        _MIXED,
        (0.1, 1000),
        "splitting a mix into A and B",
    ),
    _kind(
        "parts_b_by_weight",
        "Parts B by weight",
        "1",
        "Parts of the second component by weight.",
        _MIXED,
        (0.01, 1000),
        "splitting a mix into A and B",
    ),
    _kind(
        "parts_a_by_volume",
        "Parts A by volume",
        "1",
        "Parts of the base in the mix ratio by volume.",
        _MIXED,
        (0.1, 1000),
        "turning a ratio by volume into weights",
    ),
    _kind(
        "parts_b_by_volume",
        "Parts B by volume",
        "1",
        "Parts of the second component by volume.",
        _MIXED,
        (0.01, 1000),
        "turning a ratio by volume into weights",
    ),
    _kind(
        "density_kg_m3",
        "Density",
        "kg/m3",
        "Density of the cured material.",
        _DENSE,
        (50, 9000),
        "turning volume into mass",
    ),
    _kind(
        "density_a_kg_m3",
        "Density of A",
        "kg/m3",
        "Density of the base as it is poured.",
        _MIXED,
        (300, 4000),
        "turning a ratio by volume into weights",
    ),
    _kind(
        "density_b_kg_m3",
        "Density of B",
        "kg/m3",
        "Density of the second component as it is poured.",
        _MIXED,
        (300, 4000),
        "turning a ratio by volume into weights",
    ),
    _kind(
        "pot_life_min",
        "Pot life",
        "min",
        "How long a mix can be spread, at the reference temperature.",
        _CURING,
        (0.5, 1440),
        "cutting a coat into mixes",
    ),
    _kind(
        "gel_min",
        "Gel",
        "min",
        "When it no longer drags under the brush: the earliest next coat.",
        _CURING,
        (1, 4320),
        "the earliest time of the next coat",
    ),
    _kind(
        "recoat_latest_min",
        "Latest recoat",
        "min",
        "Until when the next coat still bonds without preparation.",
        _CURING,
        (1, 43200),
        "the latest time of the next coat",
    ),
    _kind(
        "demold_min",
        "Demold",
        "min",
        "When it may be taken off or out, at the reference temperature.",
        _CURING,
        (1, 43200),
        "the time the blanket, shell or casting must rest",
    ),
    _kind(
        "reference_temp_c",
        "Reference temperature",
        "degC",
        "The temperature that the stated times belong to.",
        _CURING,
        (5, 60),
        "moving times to the day's temperature",
    ),
    _kind(
        "lowest_cure_temp_c",
        "Lowest curing temperature",
        "degC",
        "Below this it may stall and never cure.",
        _CURING,
        (-10, 40),
        "refusing to compute times that will not come true",
    ),
    _kind(
        "q10",
        "Speed-up per 10 °C",
        "1",
        "How many times faster it cures when 10 °C warmer.",
        _CURING,
        (1.0, 4.0),
        "moving times to the day's temperature",
    ),
    _kind(
        "activation_energy_kj_mol",
        "Activation energy",
        "kJ/mol",
        "How strongly temperature drives its cure.",
        _CURING,
        (5, 150),
        "moving times to the day's temperature",
    ),
    _kind(
        "viscosity_pa_s",
        "Viscosity",
        "Pa*s",
        "Viscosity of the fresh mix.",
        _MIXED,
        (0.01, 5000),
        "the film that the turning mold can hold",
    ),
    _kind(
        "held_thickness_mm",
        "Held thickness",
        "mm",
        "Thickest coat that stays on a vertical wall, thickened as intended.",
        _RUBBER,
        (0.1, 50),
        "the number of build coats",
    ),
    _kind(
        "yield_stress_pa",
        "Yield stress",
        "Pa",
        "Stress below which the thickened mix does not run.",
        _RUBBER,
        (0.1, 5000),
        "the thickness a wall holds",
    ),
    _kind(
        "hardness_shore_a",
        "Hardness",
        "Shore A",
        "Hardness of the cured rubber; a scale, not a quantity.",
        _RUBBER,
        (1, 95),
    ),
    _kind(
        "modulus_100_mpa",
        "Modulus at 100 %",
        "MPa",
        "Stress at twice the length.",
        _RUBBER,
        (0.02, 10),
        "how high a free flap of the blanket stands",
    ),
    _kind(
        "elongation_percent",
        "Elongation at break",
        "%",
        "Stretch at which it breaks.",
        _RUBBER,
        (20, 1500),
        "whether the blanket passes an undercut",
    ),
    _kind("tear_strength_kn_m", "Tear strength", "kN/m", "Force per thickness that runs a tear.", _RUBBER, (0.5, 80)),
    _kind(
        "shrinkage_percent",
        "Linear shrinkage",
        "%",
        "Loss of length by curing.",
        _MIXED,
        (0, 10),
        "the size of the casting",
    ),
    _kind(
        "shelf_life_months",
        "Shelf life",
        "months",
        "How long an unopened container keeps.",
        frozenset(MaterialKind),
        (0.5, 120),
        "expiry dates of lots",
    ),
    _kind(
        "dose_percent",
        "Dose",
        "%",
        "How much is added: thickener and tint on the rubber; B or peroxide where the ratio is a percentage.",
        _DOSED,
        (0.01, 60),
        "weighing thickener, tint or catalyst",
    ),
    _kind(
        "layer_mass_g_m2",
        "Mass of a layer",
        "g/m2",
        "Mass of one layer of mat, cloth or fibre.",
        frozenset({MaterialKind.REINFORCEMENT}),
        (20, 3000),
        "weighing the shell",
    ),
    _kind(
        "resin_per_glass",
        "Resin per reinforcement",
        "1",
        "Mass of resin that wets one mass of reinforcement.",
        frozenset({MaterialKind.REINFORCEMENT}),
        (0.5, 6),
        "weighing the shell's resin",
    ),
    _kind(
        "water_per_100",
        "Water per 100 plaster",
        "1",
        "Parts of water to 100 parts of powder by weight.",
        frozenset({MaterialKind.SHELL}),
        (15, 150),
        "weighing plaster and water",
    ),
    _kind(
        "coverage_m2_per_kg",
        "Coverage",
        "m2/kg",
        "Area that one kilogram covers once.",
        frozenset({MaterialKind.RELEASE}),
        (0.2, 200),
        "the mass of release or sealer",
    ),
    _kind("exotherm_kj_kg", "Heat of cure", "kJ/kg", "Heat set free by curing.", _MIXED, (0, 800)),
    _kind(
        "castings_expected",
        "Castings from a mold",
        "1",
        "How many castings of resin one mold usually gives.",
        _RUBBER,
        (1, 2000),
        "warning when the run outlives the mold",
    ),
)

PROPERTIES: dict[str, PropertyKind] = {kind.key: kind for kind in PROPERTY_KINDS}


def properties_of(kind: MaterialKind) -> tuple[PropertyKind, ...]:
    """Return the properties that a kind of material can have, in the table's order."""
    return tuple(item for item in PROPERTY_KINDS if kind in item.kinds)
