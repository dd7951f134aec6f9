"""What the lots of a material give together: containers as they are, and A and B paired by their ratio."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from materials.models import Lot
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares
from materials.science.pairing import Container, Paired, alone, in_pairs, take_of
from studio.figures import WorkingError


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """What can be taken, and why A and B cannot where their ratio is not known."""

    pairs: tuple[Paired, ...]
    share_b: Decimal | None = None
    problem: str = ""

    @property
    def mass_g(self) -> Decimal:
        """The mix that all of it gives."""
        return sum((one.mass_g for one in self.pairs), Decimal(0))

    def take(self, wanted_g: Decimal) -> dict[int, Decimal]:
        """Take a mass, what expires first before the rest, as far as there is; return it by lot."""
        return take_of(self.pairs, wanted_g, share_b=self.share_b)


def pooled(spec: MaterialSpec, lots: Iterable[Lot], *, free_g: Mapping[int, Decimal] | None = None) -> Pooled:
    """Put the lots of one material together; `free_g` says what of a lot counts, where that is not all that is free."""
    sorts: dict[str, list[Container]] = {"": [], "A": [], "B": []}
    for lot in lots:
        free = lot.free_g if free_g is None else free_g.get(lot.pk, Decimal(0))
        sort = lot.component if lot.component in {Lot.Component.A, Lot.Component.B} else ""
        sorts[sort].append(Container(key=lot.pk, free_g=free, good_until=lot.expires_on or datetime.date.max))
    whole = alone(sorts[""])
    if not (sorts["A"] or sorts["B"]):
        return Pooled(pairs=tuple(whole))
    try:
        share_b = Decimal(repr(component_shares(spec)[1].value))
    except WorkingError as unknown:
        return Pooled(pairs=tuple(whole), problem=str(unknown))
    if not 0 < share_b < 1:
        return Pooled(pairs=tuple(whole), problem=f"The values of {spec.name} give no mix of an A and a B.")
    return Pooled(pairs=(*whole, *in_pairs(sorts["A"], sorts["B"], share_b=share_b)), share_b=share_b)
