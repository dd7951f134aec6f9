"""Whether fresh rubber cures against a surface or bonds to old rubber, with the source of each judgement."""

from dataclasses import dataclass
from enum import StrEnum

from studio.figures import Source


class Surface(StrEnum):
    """What the rubber is laid on."""

    SULFUR_CLAY = "sulfur_clay"
    SULFUR_FREE_CLAY = "sulfur_free_clay"
    WATER_CLAY = "water_clay"
    GYPSUM = "gypsum"
    WOOD = "wood"
    STONE = "stone"
    METAL = "metal"
    GLASS_CERAMIC = "glass_ceramic"
    WAX = "wax"
    PAINT = "paint"
    PRINT_PHOTOPOLYMER = "print_photopolymer"
    PRINT_FILAMENT = "print_filament"
    LATEX = "latex"
    EPOXY = "epoxy"
    POLYESTER = "polyester"
    POLYURETHANE = "polyurethane"
    PLATINUM_SILICONE = "platinum_silicone"
    TIN_SILICONE = "tin_silicone"
    UNKNOWN = "unknown"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return _SURFACE_LABELS.get(self, self.value.replace("_", " ").capitalize())


_SURFACE_LABELS: dict[Surface, str] = {
    Surface.SULFUR_CLAY: "Oil clay with sulfur",
    Surface.SULFUR_FREE_CLAY: "Oil clay without sulfur",
    Surface.GYPSUM: "Gypsum or plaster",
    Surface.GLASS_CERAMIC: "Glass or glazed ceramic",
    Surface.PRINT_PHOTOPOLYMER: "Resin print (light cured)",
    Surface.PRINT_FILAMENT: "Filament print",
    Surface.EPOXY: "Epoxy",
    Surface.PAINT: "Paint or varnish",
    Surface.UNKNOWN: "Not known",
}


class Outcome(StrEnum):
    """What may be done, from best to worst."""

    GOOD = "good"
    TEST = "test"
    SEAL = "seal"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """A judgement with its reason, what to do about it, and its source."""

    outcome: Outcome
    reason: str
    advice: str
    source: Source

    @property
    def allowed(self) -> bool:
        """Whether the plan may go on."""
        return self.outcome is not Outcome.REFUSED
