"""Sorting scrap: which bins one may be put together with, and what differs between two that may."""

from decimal import Decimal

from materials import ledger
from materials.errors import BadMass, OtherRubber
from materials.models import Movement, ScrapBin
from materials.properties import Chemistry
from studio.models import Account

# Common practice, no source: what a hand feels as another hardness, and chunks that no longer pack as one size.
HARDNESS_APART, EDGES_APART, DENSITY_APART = Decimal(5), Decimal("1.5"), Decimal("0.03")


def bins_for(scrap_bin: ScrapBin) -> list[tuple[ScrapBin, list[str]]]:
    """Return the bins that this one may be put into, those that differ least first, each with what differs in words.

    Only the same chemistry: two that are not known are not known to be the same.
    """
    if scrap_bin.chemistry == Chemistry.OTHER:
        return []
    others = ScrapBin.objects.filter(chemistry=scrap_bin.chemistry).exclude(pk=scrap_bin.pk)
    return sorted(((other, differences(scrap_bin, other)) for other in others), key=lambda pair: len(pair[1]))


def differences(source: ScrapBin, target: ScrapBin) -> list[str]:
    """Say what differs between what is put in and what the bin says of itself."""
    found = []
    if source.family.casefold() != target.family.casefold() or not source.family:
        found.append("another maker’s family, blends have come apart" if source.family and target.family else "family not known")
    hard, other = source.hardness_shore_a, target.hardness_shore_a
    if (hard is None) != (other is None):
        found.append("hardness of one not known")
    elif hard is not None and other is not None and abs(hard - other) >= HARDNESS_APART:
        found.append("harder" if hard > other else "softer")
    if source.colour.casefold() != target.colour.casefold():
        found.append("another colour")
    edges = sorted((source.chunk_edge_mm, target.chunk_edge_mm))
    if edges[1] > edges[0] * EDGES_APART:
        found.append("larger chunks" if source.chunk_edge_mm > target.chunk_edge_mm else "smaller chunks")
    if abs(source.density_kg_m3 - target.density_kg_m3) > target.density_kg_m3 * DENSITY_APART:
        found.append("another density")
    if target.washed and not source.washed:
        found.append("not washed, and that bin is")
    return found


def put_together(
    *, source: ScrapBin, target: ScrapBin, mass_g: Decimal | None, key: str, by: Account | None, why: str = ""
) -> list[Movement]:
    """Put a mass of one bin into another, without a mass all that is free."""
    if Chemistry.OTHER in {source.chemistry, target.chemistry}:
        raise OtherRubber("What is not known cannot be put together with anything. Say first what rubber it is.")
    if mass_g is None:
        before = Movement.objects.filter(idempotency_key=f"{key}.from", scrap_bin=source).first()
        mass_g = -before.mass_g if before is not None else ScrapBin.objects.get(pk=source.pk).free_g
    if mass_g <= 0:
        raise BadMass("Nothing of this bin is free to be put elsewhere.")
    return ledger.move(source=source, target=target, mass_g=mass_g, key=key, by=by, why=why)
