"""What the materials of a plan cost, line by line, by the mass that is used."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from costing.engine.brief import MaterialPrice
from costing.engine.shares import Share
from jobs.planning.results import CastingPlan, Component, MoldPlan, Need
from studio.figures import Figure, Given, Remark, Source, SourceKind

_NOTHING_G = 0.0005
Key = tuple[int | str, Component]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpendLine:
    """One material of the mold or of the run: its mass (g) and its cost; None when it has no price."""

    key: str
    material_key: int | str
    name: str
    share: Share
    mass: Figure
    cost: Figure | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spend:
    """Every material of a job with its cost; `left_out` names what has no price."""

    lines: tuple[SpendLine, ...]
    left_out: tuple[str, ...]
    remarks: tuple[Remark, ...]

    def of(self, share: Share) -> tuple[SpendLine, ...]:
        """Return the lines of the mold or of the run."""
        return tuple(line for line in self.lines if line.share is share)

    def total(self, share: Share, *, key: str, label: str) -> Figure:
        """Add up the cost of one share. [money]"""
        costs = tuple(line.cost for line in self.of(share) if line.cost is not None)
        return Figure(
            key=key,
            label=label,
            value=math.fsum(cost.value for cost in costs),
            unit="money",
            formula="sum of used mass × price per mass",
            given=costs,
            note="What is used counts, not whole packs." + (" Some materials have no price." if self.left_out else ""),
        )


def material_spend(*, plan: MoldPlan, prices: Mapping[int | str, MaterialPrice], count: int) -> Spend:
    """Price the materials of a plan by the mass that is used.

    Parameters
    ----------
    plan : MoldPlan
        Its needs cover the mold and the run that it was planned for.
    prices : mapping
        What is known of each material's price, by material key.
    count : int
        Castings to price; the run's materials are taken for this number.

    Returns
    -------
    Spend
        Lines in the order of the needs, mold first; masses in g, costs in money.

    Notes
    -----
    Cost by used mass: what stays in a pack goes back on the shelf and is shown, not charged.
    """
    each = _per_casting(plan.casting)
    planned = plan.casting.count if plan.casting else 0
    masses: dict[tuple[Share, int | str], list[Figure]] = {}
    reasons: dict[tuple[Share, int | str], str] = {}
    for need in plan.needs:
        material = material_of(need)
        once = need.mass.value - planned * each.get((need.material_key, need.component), 0.0)
        if once > max(_NOTHING_G, 1e-6 * need.mass.value):
            place = (Share.MOLD, material)
            masses.setdefault(place, []).append(_part_of(need.mass, once))
            reasons.setdefault(place, need.reason)
        if (need.material_key, need.component) in each and count:
            place = (Share.RUN, material)
            masses.setdefault(place, []).append(_run_mass(need.mass, each[need.material_key, need.component], count))
            reasons.setdefault(place, need.reason)
    names = {material_of(need): need.name for need in reversed(plan.needs)}
    own = {material_of(need) for need in plan.needs if need.component is Component.SCRAP}
    lines = [
        _line(share, key, parts, _price(prices, key, names[key], own=key in own), reasons[share, key])
        for share in Share
        for (its_share, key), parts in masses.items()
        if its_share is share
    ]
    left_out = tuple(dict.fromkeys(line.name for line in lines if line.cost is None))
    return Spend(lines=tuple(lines), left_out=left_out, remarks=tuple(_without_price(name) for name in left_out))


def material_of(need: Need) -> int | str:
    """Return the key that a need is priced by; scrap has keys of its own, which may equal those of materials."""
    return f"scrap-{need.material_key}" if need.component is Component.SCRAP else need.material_key


def _per_casting(casting: CastingPlan | None) -> dict[Key, float]:
    each: dict[Key, float] = {}
    if casting is None:
        return each
    for part in casting.skin_parts:
        if part.material_key is not None:
            key = (part.material_key, part.component)
            each[key] = each.get(key, 0.0) + part.mass.value * casting.skins
    return each


def _price(prices: Mapping[int | str, MaterialPrice], key: int | str, name: str, *, own: bool) -> MaterialPrice:
    found = prices.get(key)
    return found if found is not None else MaterialPrice(name=name, own=own)


def _part_of(mass: Figure, once_g: float) -> Figure:
    if math.isclose(mass.value, once_g, rel_tol=1e-9):
        return mass
    return Figure(
        key=f"{mass.key}-once",
        label=mass.label,
        value=once_g,
        unit="g",
        formula="all that is needed − what the run takes",
        given=(mass,),
    )


def _run_mass(mass: Figure, each_g: float, count: int) -> Figure:
    return Figure(
        key=f"{mass.key}-run",
        label=mass.label,
        value=each_g * count,
        unit="g",
        formula="mass for one casting × castings",
        given=(
            Given(
                label="Mass for one casting, with what is lost", value=each_g, unit="g", source=Source(kind=SourceKind.COMPUTED)
            ),
            Given(label="Castings", value=count, unit="1"),
        ),
    )


def _line(share: Share, key: int | str, parts: list[Figure], price: MaterialPrice, reason: str) -> SpendLine:
    stem, name = f"{share.value}-{key}", price.name
    mass = Figure(
        key=f"mass-{stem}",
        label=name,
        value=math.fsum(part.value for part in parts),
        unit="g",
        formula="sum of its components" if len(parts) > 1 else "as planned",
        given=tuple(parts),
    )
    return SpendLine(
        key=stem, material_key=key, name=name, share=share, mass=mass, cost=_cost(stem, name, mass, price), reason=reason
    )


def _cost(stem: str, name: str, mass: Figure, price: MaterialPrice) -> Figure | None:
    if price.own:
        return Figure(
            key=f"cost-{stem}",
            label=name,
            value=0.0,
            unit="money",
            formula="old rubber of the studio's own is not bought",
            given=(mass,),
            note="Its price is in the hours that cut, wash and seat it.",
        )
    if price.per_kg is None:
        return None
    return Figure(
        key=f"cost-{stem}",
        label=name,
        value=mass.value / 1000 * price.per_kg.value,
        unit="money",
        formula="mass × price per mass",
        given=(mass, price.per_kg),
    )


def _without_price(name: str) -> Remark:
    return Remark(
        key=f"no-price-{name}",
        tone="stop",
        text=(
            f"{name} has no price, so its cost is missing from every figure here and the price is too low. "
            f"Add a pack with its price on the material's page under Stock, Materials."
        ),
    )
