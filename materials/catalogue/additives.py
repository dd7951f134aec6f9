"""What goes into rubber and resin beside A and B."""

from materials.catalogue.entry import StarterEntry, memory, practice, published
from materials.properties import Chemistry, MaterialKind

ADDITIVES: tuple[StarterEntry, ...] = (
    StarterEntry(
        key="thixotropic-liquid",
        name="Liquid thickener for tin silicone",
        kind=MaterialKind.THICKENER,
        chemistry=Chemistry.TIN_SILICONE,
        note="Dosed after the catalyst; stiffens at once. Too much lowers tear strength and stretch. Not for the print coat.",
        properties=(
            published("dose_percent", 0.75, 0.5, 1, text="a maker's workshop page: 0.5 to 1 %"),
            memory("density_kg_m3", 1000, 950, 1050),
            practice("shelf_life_months", 12, 6, 12),
        ),
    ),
    StarterEntry(
        key="polyethylene-fibre",
        name="Polyethylene fibre powder",
        kind=MaterialKind.THICKENER,
        chemistry=Chemistry.OTHER,
        note="1 to 3 % gives honey to mayonnaise, 3 to 6 % a trowel paste. Wear a dust mask.",
        properties=(
            memory("dose_percent", 2, 1, 3, text="no published table for silicone was found; weigh and note what works"),
            memory("density_kg_m3", 960, 940, 970),
        ),
    ),
    StarterEntry(
        key="fumed-silica",
        name="Fumed silica",
        kind=MaterialKind.THICKENER,
        chemistry=Chemistry.OTHER,
        note="1 to 3 % for a brush consistency. Very light dust: wear a dust mask and keep draughts away.",
        properties=(
            memory("dose_percent", 2, 1, 3, text="no published table for silicone was found; weigh and note what works"),
            memory("density_kg_m3", 2200, 2100, 2300, text="of the silica itself; poured loose it is about 50"),
        ),
    ),
    StarterEntry(
        key="tint-silicone",
        name="Tint paste for silicone",
        kind=MaterialKind.TINT,
        chemistry=Chemistry.OTHER,
        note="Tint every other coat: thin spots show, and streaks betray bad mixing.",
        properties=(
            practice("dose_percent", 0.5, 0.1, 1),
            memory("density_kg_m3", 1200, 1000, 1600),
            memory("shelf_life_months", 24, 12, 36),
        ),
    ),
    StarterEntry(
        key="tint-resin",
        name="Tint paste for resin",
        kind=MaterialKind.TINT,
        chemistry=Chemistry.OTHER,
        properties=(
            practice("dose_percent", 0.5, 0.1, 1),
            memory("density_kg_m3", 1200, 1000, 1600),
            memory("shelf_life_months", 24, 12, 36),
        ),
    ),
)
