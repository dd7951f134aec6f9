"""What an A and a B that belong together still give, and what of either is left over."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from materials.models import Lot
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares, kit_use
from studio.figures import Figure, Given, Source, SourceKind, WorkingError

LEDGER = Source(kind=SourceKind.OWN, text="the stock ledger: on hand and promised to nobody, not expired, not set aside")


@dataclass(frozen=True, slots=True, kw_only=True)
class KitRemainder:
    """One pairing: the mix it still gives, and the stranded rest of one component."""

    code: str
    usable: Figure
    stranded: Figure | None
    stranded_part: str


def kit_remainders(*, spec: MaterialSpec, lots: Iterable[Lot]) -> list[KitRemainder]:
    """Pair the A and B lots of a material by their code; empty when the mix ratio is not known or none is in two parts.

    `lots` are usable ones. The lesser by ratio decides; lots without a code are paired with each other.
    """
    free: dict[str, dict[str, float]] = defaultdict(lambda: {"A": 0.0, "B": 0.0})
    for lot in lots:
        if lot.component in {Lot.Component.A, Lot.Component.B}:
            free[lot.kit_code.strip()][lot.component] += float(lot.free_g)
    try:
        share_a, share_b = component_shares(spec) if free else (None, None)
    except WorkingError:
        return []
    if share_a is None or share_b is None or share_b.value <= 0:
        return []
    return [_remainder(code, masses, share_a, share_b) for code, masses in sorted(free.items()) if sum(masses.values()) > 0]


def _remainder(code: str, masses: dict[str, float], share_a: Figure, share_b: Figure) -> KitRemainder:
    use = kit_use(stock_a_g=masses["A"], stock_b_g=masses["B"], parts_a=share_a.value, parts_b=share_b.value)
    given = (
        Given(label="A that is free", value=masses["A"], unit="g", source=LEDGER),
        Given(label="B that is free", value=masses["B"], unit="g", source=LEDGER),
        share_a,
        share_b,
    )
    key = f"kit_{code or 'unpaired'}"
    usable = Figure(
        key=f"{key}_usable",
        label="Mix it still gives",
        value=use.usable_g,
        unit="g",
        formula="the lesser of A ÷ its share and B ÷ its share",
        given=given,
    )
    rest, part = (use.stranded_a_g, "A") if use.stranded_a_g >= use.stranded_b_g else (use.stranded_b_g, "B")
    stranded = Figure(
        key=f"{key}_stranded",
        label=f"Left over of {part}",
        value=rest,
        unit="g",
        formula=f"free {part} − mix × share of {part}",
        given=given,
    )
    # A mix is never weighed closer than a gram; less than that is not a remainder.
    return KitRemainder(code=code, usable=usable, stranded=stranded if rest >= 1 else None, stranded_part=part)
