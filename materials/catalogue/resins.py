"""Casting resins."""

from materials.catalogue.entry import StarterEntry, memory, practice, published
from materials.properties import Chemistry, MaterialKind, MixBasis

_ISOCYANATE = "Contains isocyanate: read its safety data sheet; training before use is the law in the European Union."
_PEROXIDE = "two laminating suppliers: 1 to 2 % of peroxide by weight; never below 1 %"

RESINS: tuple[StarterEntry, ...] = (
    StarterEntry(
        key="polyurethane-fast",
        name="Polyurethane casting resin, quick",
        kind=MaterialKind.RESIN,
        chemistry=Chemistry.POLYURETHANE,
        mix_basis=MixBasis.BY_VOLUME,
        note="Sold 1 : 1 by volume, so it is not weighed 1 : 1. " + _ISOCYANATE,
        properties=(
            memory("parts_a_by_volume", 1),
            memory("parts_b_by_volume", 1),
            memory("density_a_kg_m3", 1120, 1050, 1150),
            memory("density_b_kg_m3", 1050, 1000, 1080),
            memory("density_kg_m3", 1050, 1020, 1080),
            published("pot_life_min", 2.25, 2, 2.5, text="a casting supplier's hand-slush page: 2 to 2.5 min of working time"),
            memory("gel_min", 5, 3, 8),
            published("recoat_latest_min", 10, 8, 15, text="a casting supplier: about 10 min before the next pour"),
            published("demold_min", 25, 20, 30, text="a casting supplier: 20 to 30 min after the last pour"),
            memory("reference_temp_c", 23),
            memory("lowest_cure_temp_c", 15, 10, 18),
            memory("viscosity_pa_s", 0.1, 0.06, 0.3),
            practice("shrinkage_percent", 0.4, 0.2, 0.8, text="unfilled; rises with mass and heat"),
            memory("exotherm_kj_kg", 200, 150, 250),
            practice("shelf_life_months", 9, 6, 12, text="unopened; weeks to months once opened"),
        ),
    ),
    StarterEntry(
        key="polyurethane-slow",
        name="Polyurethane casting resin, slow",
        kind=MaterialKind.RESIN,
        chemistry=Chemistry.POLYURETHANE,
        mix_basis=MixBasis.BY_WEIGHT,
        note=_ISOCYANATE,
        properties=(
            memory("parts_a_by_weight", 100),
            memory("parts_b_by_weight", 90),
            memory("density_kg_m3", 1050, 1020, 1080),
            memory("pot_life_min", 7, 5, 9),
            memory("gel_min", 15, 10, 20),
            memory("recoat_latest_min", 30, 20, 45),
            memory("demold_min", 90, 60, 150),
            memory("reference_temp_c", 23),
            memory("lowest_cure_temp_c", 15, 10, 18),
            memory("viscosity_pa_s", 0.15, 0.08, 0.4),
            practice("shrinkage_percent", 0.4, 0.2, 0.8, text="unfilled; rises with mass and heat"),
            memory("exotherm_kj_kg", 200, 150, 250),
            practice("shelf_life_months", 9, 6, 12, text="unopened; weeks to months once opened"),
        ),
    ),
    StarterEntry(
        key="epoxy-casting",
        name="Epoxy casting resin",
        kind=MaterialKind.RESIN,
        chemistry=Chemistry.EPOXY,
        mix_basis=MixBasis.BY_WEIGHT,
        note="A skin sensitiser: nitrile gloves, and change them. Large cups heat up.",
        properties=(
            memory("parts_a_by_weight", 100),
            memory("parts_b_by_weight", 30, 25, 50),
            memory("density_kg_m3", 1110, 1080, 1160),
            memory("pot_life_min", 40, 25, 60),
            memory("gel_min", 240, 120, 360),
            memory("demold_min", 1440, 960, 2160),
            memory("reference_temp_c", 23),
            memory("lowest_cure_temp_c", 15, 10, 18),
            published("q10", 2, 1.7, 2.3, text="two epoxy suppliers: every 10 °C halves the time"),
            memory("viscosity_pa_s", 0.6, 0.3, 1.2),
            practice("shrinkage_percent", 0.3, 0.1, 0.5),
            memory("exotherm_kj_kg", 450, 350, 500),
            practice("shelf_life_months", 18, 12, 24),
        ),
    ),
    StarterEntry(
        key="polyester-casting",
        name="Polyester casting resin",
        kind=MaterialKind.RESIN,
        chemistry=Chemistry.POLYESTER,
        mix_basis=MixBasis.PERCENT_ON_BASE,
        note="Styrene fumes; the peroxide destroys eyes: read both safety data sheets. Never mix peroxide with cobalt directly.",
        properties=(
            published("dose_percent", 1.5, 1, 2, text=_PEROXIDE),
            memory("density_kg_m3", 1200, 1120, 1230),
            memory("pot_life_min", 15, 10, 25),
            memory("gel_min", 25, 15, 40),
            memory(
                "recoat_latest_min", 1440, text="wax-free resin on a gelled surface; once wax is in it nothing sticks unsanded"
            ),
            memory("demold_min", 180, 90, 360),
            memory("reference_temp_c", 20),
            memory("lowest_cure_temp_c", 15, 12, 18),
            memory("viscosity_pa_s", 0.5, 0.3, 1),
            published(
                "shrinkage_percent", 2.4, 1.7, 4.5, text="two sources: 5 to 13 % by volume, 7 % often quoted; free, unfilled"
            ),
            memory("exotherm_kj_kg", 350, 250, 400),
            published("shelf_life_months", 6, 3, 12, text="suppliers: use within six months, one year at most"),
        ),
    ),
)
