"""What rigid shells are made of."""

from materials.catalogue.entry import StarterEntry, memory, practice, published
from materials.properties import Chemistry, MaterialKind, MixBasis

SHELLS: tuple[StarterEntry, ...] = (
    StarterEntry(
        key="laminating-polyester",
        name="Laminating polyester resin, with peroxide",
        kind=MaterialKind.SHELL,
        chemistry=Chemistry.POLYESTER,
        mix_basis=MixBasis.PERCENT_ON_BASE,
        note="No more than four wet layers at once; let the heat pass. Styrene fumes; the peroxide destroys eyes. Never mix "
        "peroxide with cobalt directly.",
        properties=(
            published(
                "dose_percent", 1.5, 1, 2, text="two laminating suppliers: 1 to 2 % of peroxide by weight; never below 1 %"
            ),
            memory("density_kg_m3", 1200, 1120, 1230),
            memory("pot_life_min", 20, 12, 30),
            memory("gel_min", 35, 20, 50),
            memory("recoat_latest_min", 1440, text="wax-free resin on a gelled surface"),
            memory("demold_min", 720, 360, 1440),
            memory("reference_temp_c", 20),
            memory("lowest_cure_temp_c", 15, 12, 18),
            memory("viscosity_pa_s", 0.5, 0.3, 1),
            published("shrinkage_percent", 2.4, 1.7, 4.5, text="two sources: 5 to 13 % by volume; thin held skins far less"),
            memory("exotherm_kj_kg", 350, 250, 400),
            published("shelf_life_months", 6, 3, 12, text="suppliers: use within six months, one year at most"),
        ),
    ),
    StarterEntry(
        key="chopped-strand-mat-450",
        name="Chopped strand mat, 450 g/m²",
        kind=MaterialKind.REINFORCEMENT,
        chemistry=Chemistry.OTHER,
        note="Fibres irritate skin and airways; cut it where the dust can be taken away.",
        properties=(
            published("layer_mass_g_m2", 450, text="its nominal mass"),
            published("resin_per_glass", 2.5, 2, 3, text="three suppliers"),
            memory("density_kg_m3", 2560, 2540, 2600, text="of glass"),
        ),
    ),
    StarterEntry(
        key="molding-plaster",
        name="Molding plaster",
        kind=MaterialKind.SHELL,
        chemistry=Chemistry.GYPSUM,
        note="A mass of it reaches about 60 °C (140 °F) and burns skin: never a hand or foot in it. Heavy: mind each piece.",
        properties=(
            memory("water_per_100", 70, 60, 80, text="hand mix"),
            memory("density_kg_m3", 1098, 1040, 1200, text="set and dried at 70 parts of water, worked out from its chemistry"),
            memory("pot_life_min", 10, 6, 15),
            practice("gel_min", 30, 20, 40, text="sets in 20 to 40 min"),
            practice("demold_min", 60, 45, 90, text="about an hour; dry for days"),
            memory("recoat_latest_min", 120, 30, 240, text="on plaster still damp; wet a dry surface first"),
            memory("reference_temp_c", 20),
            memory("shelf_life_months", 6, 3, 12, text="dry and closed"),
        ),
    ),
    StarterEntry(
        key="hemp-fibre",
        name="Hemp fibre",
        kind=MaterialKind.REINFORCEMENT,
        chemistry=Chemistry.OTHER,
        note="Teased out and dipped in plaster, 2 to 4 layers.",
        properties=(
            memory("layer_mass_g_m2", 150, 80, 300, text="loosely teased out; weigh a layer of yours"),
            memory("density_kg_m3", 1500, 1400, 1550),
        ),
    ),
    StarterEntry(
        key="epoxy-putty",
        name="Epoxy putty",
        kind=MaterialKind.SHELL,
        chemistry=Chemistry.EPOXY,
        mix_basis=MixBasis.BY_WEIGHT,
        note="4 to 8 mm by hand. A skin sensitiser: nitrile gloves, and change them.",
        properties=(
            memory("parts_a_by_weight", 1),
            memory("parts_b_by_weight", 1),
            practice("density_kg_m3", 1500, 1300, 1700),
            memory("pot_life_min", 40, 25, 60),
            memory("gel_min", 120, 60, 180),
            memory("demold_min", 960, 720, 1440),
            memory("reference_temp_c", 23),
            memory("lowest_cure_temp_c", 15, 10, 18),
            practice("shelf_life_months", 18, 12, 24),
        ),
    ),
    StarterEntry(
        key="polyurethane-plastic-brush-on",
        name="Polyurethane plastic, brush-on",
        kind=MaterialKind.SHELL,
        chemistry=Chemistry.POLYURETHANE,
        mix_basis=MixBasis.BY_WEIGHT,
        note="5 to 8 mm in a few coats, done in hours. Contains isocyanate, see its safety data sheet.",
        properties=(
            memory("parts_a_by_weight", 100),
            memory("parts_b_by_weight", 80),
            practice("density_kg_m3", 1120, 1050, 1200),
            memory("pot_life_min", 6, 4, 10),
            memory("gel_min", 15, 10, 20),
            memory("recoat_latest_min", 45, 30, 90),
            memory("demold_min", 120, 90, 240),
            memory("reference_temp_c", 23),
            memory("lowest_cure_temp_c", 15, 10, 18),
            practice("shelf_life_months", 9, 6, 12, text="unopened; weeks to months once opened"),
        ),
    ),
)
