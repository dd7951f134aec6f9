"""Splitting a mass into equal mixes and each mix into what is weighed."""

from dataclasses import dataclass, replace

from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import Component, Mix, Part
from jobs.planning.sums import fact, scaled
from materials.properties import MixBasis
from materials.science.batches import largest_mix_kg, mixes_needed
from materials.science.kinetics import time_at
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares, mixed_density, mixed_mass
from studio.figures import Figure, Given

LARGEST_DOSE_PERCENT = 30.0
MOST_MIXES = 500
PER_LITRE = ("mass per litre", "minutes per litre")


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A material with what is stirred into it; `shares` of the whole mix sum to 1."""

    base: MaterialSpec
    shares: tuple[tuple[Component, MaterialSpec, Figure], ...]

    @property
    def thickened(self) -> bool:
        """Whether thickener is in it."""
        return any(component is Component.THICKENER for component, _, _ in self.shares)


def recipe(base: MaterialSpec, *, thickener: MaterialSpec | None = None, tint: MaterialSpec | None = None) -> Recipe:
    """Compute the shares of A, B, thickener and tint; doses are percentages of A and B together."""
    extras = [
        (component, spec, _dose(spec))
        for component, spec in ((Component.THICKENER, thickener), (Component.TINT, tint))
        if spec is not None
    ]
    whole = 1.0 + sum(dose.value / 100 for _, _, dose in extras)
    doses: tuple[Given, ...] = tuple(dose for _, _, dose in extras)
    share_a, share_b = component_shares(base)
    one_part = base.mix_basis is MixBasis.ONE_PART
    shares = [
        (
            Component.ONE_PART if one_part else Component.A,
            base,
            scaled(share_a, 1 / whole, key="share_a", label="Share of A in the mix", unit="1",
                   formula="share of A ÷ (1 + doses)", given=doses),
        )
    ]  # fmt: skip
    if not one_part:
        shares.append(
            (
                Component.B,
                base,
                scaled(share_b, 1 / whole, key="share_b", label="Share of B in the mix", unit="1",
                       formula="share of B ÷ (1 + doses)", given=doses),
            )
        )  # fmt: skip
    for component, spec, dose in extras:
        share = Figure(
            key=f"share_{component.value}",
            label=f"Share of {component.value} in the mix",
            value=dose.value / 100 / whole,
            unit="1",
            formula="dose ÷ (1 + doses)",
            given=doses,
        )
        shares.append((component, spec, share))
    return Recipe(base=base, shares=tuple(shares))


def recipe_density(made: Recipe) -> Figure:
    """Compute the density of a mix; an ingredient of unknown density counts as the base [kg/m3]."""
    base = made.base.need("density_kg_m3")
    extras = [
        (share, spec.properties["density_kg_m3"])
        for component, spec, share in made.shares
        if component in (Component.THICKENER, Component.TINT) and "density_kg_m3" in spec.properties
    ]
    base_share = 1.0 - sum(share.value for share, _ in extras)
    value = mixed_density(
        masses_g=(base_share, *(share.value for share, _ in extras)),
        densities_kg_m3=(base.value, *(density.value for _, density in extras)),
    )
    return Figure(
        key="mix_density",
        label="Density of the mix",
        value=value,
        unit="kg/m3",
        formula="1 ÷ Σ(share ÷ density)" if extras else "as stated for the material",
        given=(base, *(item for pair in extras for item in pair)),
    )


def mix_cap(
    brief: PlanBrief,
    *,
    mass_each: Figure,
    minutes_each: Given,
    words: tuple[str, str],
    prefix: str,
    mixing: Given | Figure | None = None,
) -> Figure:
    """Compute the largest mix one person can lay inside the day's pot life [g].

    Parameters
    ----------
    brief : PlanBrief
        Rubber, temperature and rates.
    mass_each, minutes_each
        Mass and minutes of one unit of what is laid. [g], [min]
    words : (str, str)
        Both as the formula says them: "mass per area", "minutes per area".
    prefix : str
        What the key begins with.
    mixing : Given or Figure, optional
        Minutes of the pot life that are gone before laying; the studio's rate if not given. [min]
    """
    if minutes_each.value <= 0:
        raise BadBrief(f"The rate “{minutes_each.label}” must be more than nought.")
    pot_life = time_at(brief.rubber, "pot_life_min", brief.temperature_c)
    usable = rate(brief.rates, "pot_life_usable_share")
    mixing = mixing or rate(brief.rates, "mix_min")
    cap_kg = largest_mix_kg(
        areal_mass_kg_m2=mass_each.value / 1000,
        rate_m2_h=60 / minutes_each.value,
        pot_life_min=pot_life.value,
        usable_share=usable.value,
        mix_min=mixing.value,
    )
    return Figure(
        key=f"{prefix}_mix_cap",
        label="Largest mix for one person",
        value=cap_kg * 1000,
        unit="g",
        formula=f"{words[0]} × (usable share × pot life − mixing) ÷ {words[1]}",
        given=(mass_each, usable, pot_life, mixing, minutes_each),
        note="What clings to the cup is counted as if it had to be spread too, so the real limit is a little higher.",
    )


def mass_of(volume: Figure, density: Figure, *, key: str, label: str) -> Figure:
    """Weigh a volume [L] of a mix of some density [kg/m3 = g/L]: volume × density [g]."""
    return scaled(volume, density.value, key=key, label=label, unit="g", formula="volume × density", given=(density,))


def mixed_from_net(net: Figure, loss: Given, *, key: str, label: str) -> Figure:
    """Compute what must be mixed for a mass on the work: net ÷ (1 − loss) [g]."""
    factor = mixed_mass(net_mass_g=1.0, loss_percent=loss.value)
    return scaled(net, factor, key=key, label=label, unit="g", formula="net mass ÷ (1 − loss)", given=(loss,))


def split_into_mixes(
    *, mixed: Figure, net: Figure, cap: Figure, made: Recipe, prefix: str, position: int = 1, before: int = 0
) -> tuple[Mix, ...]:
    """Split what is laid at one position into equal mixes, none above the cap; `before` are mixes already numbered."""
    wanted = mixes_needed(mass_g=mixed.value, largest_mix_g=cap.value)
    if before + wanted > MOST_MIXES:
        raise BadBrief(
            f"This would take more than {MOST_MIXES} mixes; choose a rubber with a longer pot life, a cooler room, or more hands."
        )
    return tuple(
        _mix(number, wanted, mixed, net, made, f"{prefix}_mix_{before + number}", position=position, before=before)
        for number in range(1, wanted + 1)
    )


def _mix(number: int, of: int, mixed: Figure, net: Figure, made: Recipe, prefix: str, *, position: int, before: int) -> Mix:
    parts_of = fact("Equal mixes", of, "1")
    # However roughly the need is known, what is put on the scale is exact: it carries no range.
    exact = replace(mixed, low=None, high=None)
    mass = scaled(exact, 1 / of, key=f"{prefix}_mass", label=f"Mix {number} of {of}", unit="g",
                  formula="mixed mass ÷ mixes", given=(parts_of,))  # fmt: skip
    laid = scaled(net, 1 / of, key=f"{prefix}_net", label=f"Laid from mix {number}", unit="g",
                  formula="net mass ÷ mixes", given=(parts_of,))  # fmt: skip
    return Mix(number=before + number, mass=mass, net_mass=laid, parts=weigh(mass, made, prefix), position=position)


def weigh(mass: Figure, made: Recipe, prefix: str) -> tuple[Part, ...]:
    """Compute the weight of each ingredient in a mix [g]."""
    return tuple(
        Part(
            component=component,
            label=f"{spec.name} {component.value}" if component in (Component.A, Component.B) else spec.name,
            material_key=spec.key,
            mass=scaled(
                mass,
                share.value,
                key=f"{prefix}_{component.value.replace(' ', '_')}",
                label=f"{component.value.capitalize()} to weigh",
                unit="g",
                formula="mix × share",
                given=(share,),
            ),
        )
        for component, spec, share in made.shares
    )


def _dose(spec: MaterialSpec) -> Given:
    dose = spec.need("dose_percent")
    if not 0 <= dose.value <= LARGEST_DOSE_PERCENT:
        raise BadBrief(f"A dose of {dose.value:g} % of {spec.name} is not believable; give 0 to {LARGEST_DOSE_PERCENT:g} %.")
    return dose
