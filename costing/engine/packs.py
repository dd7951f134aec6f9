"""Whole packs that a job needs, and what stays in them."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from costing.engine.brief import MaterialPrice
from costing.engine.spend import SpendLine
from studio.figures import Figure, Given, Source, SourceKind

_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PackCount:
    """Whole packs that cover a material of the job, and what stays in them (g)."""

    name: str
    packs: int
    pack_mass_g: float
    left: Figure


def pack_counts(lines: tuple[SpendLine, ...], prices: Mapping[int | str, MaterialPrice]) -> tuple[PackCount, ...]:
    """Count the packs of each material whose pack is known.

    Parameters
    ----------
    lines : tuple of SpendLine
        Materials of the mold and the run; one material may stand in both.
    prices : mapping
        Packs by material key; a material without a pack is left out.

    Returns
    -------
    tuple of PackCount
        Counted from whole packs, as if nothing were on the shelf yet.
    """
    used: dict[int | str, list[Figure]] = {}
    for line in lines:
        price = prices.get(line.material_key)
        if price is not None and price.pack_mass_g:
            used.setdefault(line.material_key, []).append(line.mass)
    return tuple(_count(key, masses, prices[key]) for key, masses in used.items())


def _count(key: int | str, masses: list[Figure], price: MaterialPrice) -> PackCount:
    pack_g = price.pack_mass_g or 1.0
    used_g = math.fsum(mass.value for mass in masses)
    packs = max(1, math.ceil(used_g / pack_g - _HAIR))
    left = Figure(
        key=f"left-{key}",
        label=f"Left of {price.name}",
        value=max(packs * pack_g - used_g, 0.0),
        unit="g",
        formula="packs × mass of a pack − mass used",
        given=(
            Given(label="Packs", value=packs, unit="1", source=Source(kind=SourceKind.COMPUTED)),
            Given(
                label="Mass of a pack", value=pack_g, unit="g", source=Source(kind=SourceKind.OWN, text="the pack usually bought")
            ),
            *masses,
        ),
        note="Counted from whole packs, as if nothing were on the shelf yet. What is left is not charged to this job.",
    )
    return PackCount(name=price.name, packs=packs, pack_mass_g=pack_g, left=left)
