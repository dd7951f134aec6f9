"""What the lots of a material give together: containers as they are, and A and B paired by their ratio."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from materials.models import Lot
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares
from materials.science.pairing import Container, Paired, alone, in_pairs
from studio.figures import WorkingError


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """What can be taken, and why A and B cannot where their ratio is not known."""

    pairs: tuple[Paired, ...]
    problem: str = ""

    @property
    def mass_g(self) -> Decimal:
        """The mix that all of it gives."""
        return sum((one.mass_g for one in self.pairs), Decimal(0))


def pools(known: Mapping[int, MaterialSpec], today: datetime.date) -> dict[int, Pooled]:
    """Put what is free of each material together, in one query."""
    lots: dict[int, list[Lot]] = {pk: [] for pk in known}
    for lot in Lot.objects.usable(today).filter(material__in=known):
        lots[lot.material_id].append(lot)
    return {pk: pooled(spec, lots[pk]) for pk, spec in known.items()}


def pooled(spec: MaterialSpec, lots: Iterable[Lot]) -> Pooled:
    """Put what is free of the lots of one material together."""
    sorts: dict[str, list[Container]] = {"": [], "A": [], "B": []}
    for lot in lots:
        sort = lot.component if lot.component in {Lot.Component.A, Lot.Component.B} else ""
        sorts[sort].append(Container(key=lot.pk, free_g=lot.free_g, good_until=lot.expires_on or datetime.date.max))
    whole = alone(sorts[""])
    if not (sorts["A"] or sorts["B"]):
        return Pooled(pairs=tuple(whole))
    try:
        share_b = Decimal(repr(component_shares(spec)[1].value))
    except WorkingError as unknown:
        return Pooled(pairs=tuple(whole), problem=str(unknown))
    if not 0 < share_b < 1:
        return Pooled(pairs=tuple(whole), problem=f"The values of {spec.name} give no mix of an A and a B.")
    return Pooled(pairs=(*whole, *in_pairs(sorts["A"], sorts["B"], share_b=share_b)))
