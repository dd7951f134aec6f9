"""Releases, sealers and what is counted by the piece."""

from materials.catalogue.entry import StarterEntry, memory
from materials.properties import Chemistry, MaterialKind


def _release(key: str, name: str, coverage: tuple[float, float, float], density: float, note: str) -> StarterEntry:
    return StarterEntry(
        key=key,
        name=name,
        kind=MaterialKind.RELEASE,
        chemistry=Chemistry.OTHER,
        note=note,
        properties=(
            memory("coverage_m2_per_kg", *coverage, text="one coat on a tight surface; porous ones take more"),
            memory("density_kg_m3", density),
            memory("shelf_life_months", 24, 12, 36),
        ),
    )


def _counted(key: str, name: str) -> StarterEntry:
    return StarterEntry(key=key, name=name, kind=MaterialKind.CONSUMABLE, chemistry=Chemistry.OTHER)


SUNDRIES: tuple[StarterEntry, ...] = (
    _release("release-wax", "Release wax paste", (40, 25, 60), 850, "Polished out; several thin coats."),
    _release(
        "release-spray",
        "Release spray for silicone",
        (30, 15, 45),
        750,
        "For silicone on silicone always. Flammable propellant: no flame, and air the room.",
    ),
    _release(
        "petroleum-jelly", "Petroleum jelly, thinned", (25, 12, 40), 800, "Brushed on thin; thinned with solvent it is flammable."
    ),
    _release(
        "acrylic-sealer",
        "Acrylic sealer spray",
        (12, 8, 20),
        800,
        "Let it flash off 30 min before release goes on; longer in damp air.",
    ),
    _counted("mixing-cups", "Mixing cups"),
    _counted("brushes", "Throw-away brushes"),
    _counted("nitrile-gloves", "Nitrile gloves, pairs"),
    _counted("stirring-sticks", "Stirring sticks"),
)
