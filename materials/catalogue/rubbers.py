"""Mold rubbers that a studio is likely to have."""

from materials.catalogue.entry import StarterEntry, Stated, memory, practice, published
from materials.properties import Chemistry, MaterialKind, MixBasis

_TOLERANCE = "a silicone molder's note: hardness is supplied within 5 points"


def _silicone(*, hardness: float, elongation: tuple[float, float, float]) -> tuple[Stated, ...]:
    """Return what silicones have in common."""
    return (
        published("hardness_shore_a", hardness, hardness - 5, hardness + 5, text=_TOLERANCE),
        practice("elongation_percent", *elongation, text="200 to 600 % for mold rubbers, soft ones more"),
        practice("tear_strength_kn_m", 17, 10, 25, text="ASTM D624 values of usual mold rubbers"),
        memory("reference_temp_c", 23),
        published("lowest_cure_temp_c", 15, 15, 18, text="two dealers: may not cure below 15 °C"),
        practice("shelf_life_months", 9, 6, 12, text="unopened; some sheets give 24"),
        memory("held_thickness_mm", 3, 2, 4, text="thickened to mayonnaise; try 2, 4, 6 mm steps on a vertical card"),
    )


def _platinum(
    key: str,
    name: str,
    *,
    hardness: float,
    modulus: float,
    elongation: tuple[float, float, float],
    times: tuple[float, float, float],
    viscosity: tuple[float, float, float],
    note: str,
) -> StarterEntry:
    pot, gel, demold = times
    return StarterEntry(
        key=key,
        name=name,
        kind=MaterialKind.RUBBER,
        chemistry=Chemistry.PLATINUM_SILICONE,
        mix_basis=MixBasis.BY_WEIGHT,
        note=note,
        properties=(
            practice("parts_a_by_weight", 1, text="most platinum mold rubbers are 1 : 1"),
            practice("parts_b_by_weight", 1, text="most platinum mold rubbers are 1 : 1"),
            memory("density_kg_m3", 1100, 1070, 1150),
            memory("pot_life_min", pot, pot * 0.7, pot * 1.3),
            memory("gel_min", gel, gel * 0.8, gel * 1.3),
            memory("demold_min", demold, demold * 0.7, demold * 1.5),
            memory("viscosity_pa_s", *viscosity),
            memory("modulus_100_mpa", modulus, modulus * 0.7, modulus * 1.3, text="makers' sheets for this hardness"),
            published("shrinkage_percent", 0.05, 0, 0.1, text="a chemistry summary: under 0.1 %"),
            practice("castings_expected", 60, 40, 100, text="polyurethane resin, released; wide"),
            *_silicone(hardness=hardness, elongation=elongation),
        ),
    )


RUBBERS: tuple[StarterEntry, ...] = (
    _platinum(
        "platinum-10a",
        "Platinum silicone, soft, 10 Shore A",
        hardness=10,
        modulus=0.15,
        elongation=(800, 600, 950),
        times=(45, 120, 960),
        viscosity=(15, 8, 25),
        note="For deep undercuts and thin, floppy pulls. Needs a thicker wall than a harder rubber.",
    ),
    _platinum(
        "platinum-20a",
        "Platinum silicone, medium, 20 Shore A",
        hardness=20,
        modulus=0.34,
        elongation=(550, 400, 650),
        times=(35, 90, 720),
        viscosity=(20, 12, 30),
        note="The general blanket rubber.",
    ),
    _platinum(
        "platinum-20a-fast",
        "Platinum silicone, medium and quick, 20 Shore A",
        hardness=20,
        modulus=0.34,
        elongation=(550, 400, 650),
        times=(12, 30, 180),
        viscosity=(20, 12, 30),
        note="For build coats on one day; too quick for a print coat of any size.",
    ),
    _platinum(
        "platinum-30a",
        "Platinum silicone, firm, 30 Shore A",
        hardness=30,
        modulus=0.59,
        elongation=(400, 300, 500),
        times=(40, 100, 960),
        viscosity=(25, 15, 40),
        note="For large and flat pieces and long runs.",
    ),
    StarterEntry(
        key="tin-25a",
        name="Tin silicone, brush-on, 25 Shore A",
        kind=MaterialKind.RUBBER,
        chemistry=Chemistry.TIN_SILICONE,
        mix_basis=MixBasis.BY_WEIGHT,
        note="Let the mold stand 24 to 72 h before resin goes in, so that the alcohol can leave.",
        properties=(
            memory("parts_a_by_weight", 100),
            memory("parts_b_by_weight", 10),
            memory("density_kg_m3", 1120, 1080, 1200),
            memory("pot_life_min", 40, 25, 60),
            memory("gel_min", 120, 90, 180),
            memory("demold_min", 1440, 960, 1440),
            memory("viscosity_pa_s", 30, 20, 45),
            memory("modulus_100_mpa", 0.45, 0.3, 0.6),
            practice("shrinkage_percent", 0.3, 0.2, 0.5, text="in the first days; up to 1 % over months"),
            practice("castings_expected", 35, 25, 50, text="polyurethane resin; wide"),
            *_silicone(hardness=25, elongation=(400, 300, 500)),
        ),
    ),
    StarterEntry(
        key="tin-15a",
        name="Tin silicone, soft, 15 Shore A",
        kind=MaterialKind.RUBBER,
        chemistry=Chemistry.TIN_SILICONE,
        mix_basis=MixBasis.PERCENT_ON_BASE,
        note="The catalyst is weighed as a percentage of the base, not of the whole mix.",
        properties=(
            memory("dose_percent", 5, 4, 6, text="5 % of catalyst on the base"),
            memory("density_kg_m3", 1100, 1060, 1180),
            memory("pot_life_min", 45, 30, 60),
            memory("gel_min", 150, 100, 200),
            memory("demold_min", 1440, 960, 1440),
            memory("viscosity_pa_s", 22, 15, 35),
            memory("modulus_100_mpa", 0.25, 0.17, 0.33),
            practice("shrinkage_percent", 0.4, 0.2, 0.5, text="in the first days; up to 1 % over months"),
            practice("castings_expected", 30, 25, 50, text="polyurethane resin; wide"),
            *_silicone(hardness=15, elongation=(500, 350, 650)),
        ),
    ),
    StarterEntry(
        key="polyurethane-rubber-40a",
        name="Polyurethane rubber, brush-on, 40 Shore A",
        kind=MaterialKind.RUBBER,
        chemistry=Chemistry.POLYURETHANE,
        mix_basis=MixBasis.BY_WEIGHT,
        note="Begin no coat that cannot be followed while it is tacky: late coats peel. Contains isocyanate, see its safety data "
        "sheet.",
        properties=(
            memory("parts_a_by_weight", 1),
            memory("parts_b_by_weight", 1),
            memory("density_kg_m3", 1050, 1000, 1100),
            memory("pot_life_min", 15, 10, 20),
            memory("gel_min", 45, 30, 60),
            memory("recoat_latest_min", 120, 60, 240, text="while tacky; a workshop's account and common practice, no figure"),
            memory("demold_min", 1440, 960, 1440),
            memory("reference_temp_c", 23),
            published("lowest_cure_temp_c", 15, 15, 18, text="two dealers: may not cure below 15 °C"),
            memory("viscosity_pa_s", 10, 3, 30),
            memory("held_thickness_mm", 2, 1, 3, text="thickened; try steps on a vertical card"),
            published("hardness_shore_a", 40, 35, 45, text=_TOLERANCE),
            memory("elongation_percent", 500, 300, 700),
            memory("shrinkage_percent", 0.2, 0.05, 0.5),
            practice("shelf_life_months", 9, 6, 12, text="unopened; weeks to months once opened"),
        ),
    ),
)
