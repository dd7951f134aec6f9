"""Keys on the outside of the blanket: lumps of rubber that find their seat in the shell."""

import math
from dataclasses import dataclass, replace

from jobs.geometry.coats import outer_area
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate, rubber_loss
from jobs.planning.results import Mix
from jobs.planning.rubber.mixes import mass_of, mix_cap, mixed_from_net, recipe, recipe_density, split_into_mixes
from jobs.planning.sums import count
from materials.science.draft import widening_mm
from studio.figures import Figure, Given, Source, SourceKind

# Sides lean in so that the shell comes off straight.
DRAFT = Given(
    label="Lean of a key's sides", value=15.0, unit="°", low=5.0, high=30.0,
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="a rigid part wants 2 to 5 at the least, keys are made blunter"),
)  # fmt: skip
MOST_KEYS = 5000
MIXED = "Rubber to mix for the keys"


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """The keys of one mold: how many, how far apart (mm), their rubber (L, g), and what is mixed for them (g).

    Keys of a poured blanket are lumps on the clay that keeps its place: their rubber is poured along, and nothing is mixed apart.
    """

    number: Figure
    spacing: Figure
    volume: Figure
    mass: Figure
    mixed: Figure
    mixes: tuple[Mix, ...]


def key_spacing(brief: PlanBrief) -> Given:
    """Return the distance between keys: typed for this job, or the studio's usual one [mm]."""
    return brief.key_spacing_mm or rate(brief.rates, "key_spacing_mm")


def outside_area(brief: PlanBrief) -> Figure:
    """Return the outside of the finished blanket that the shell covers [m2]."""
    found = None if brief.shape is None else brief.shape.outside_m2
    if found is not None:
        return Figure(key="stand_outside", label="Outside of the blanket", value=found.value, unit="m2",
                      formula="filled outside of the shape", given=(found,))  # fmt: skip
    return outer_area(brief.takeoff, brief.wall_mm.value).renamed(key="stand_outside", label="Outside of the blanket")


def plan_keys(brief: PlanBrief) -> Keys | None:
    """Plan the keys, or return None where none are set: no shell, a block, or a distance of nought.

    Raises
    ------
    BadBrief
        When keys are wider than the distance between them, lean to a point, or come to thousands.
    """
    spacing = key_spacing(brief)
    if brief.shell is None or brief.making is Making.BLOCK or spacing.value == 0:
        return None
    volume_each = _volume_each(brief, spacing)
    area = outside_area(brief)
    wanted = math.ceil(area.value / (spacing.value / 1000) ** 2 - 1e-9)
    if wanted > MOST_KEYS:
        raise BadBrief(f"Keys this close would come to {wanted}; set them wider apart.")
    apart = Figure(key="key_spacing", label="Between keys", value=spacing.value, unit="mm",
                   formula="as typed" if spacing is brief.key_spacing_mm else "as rated", given=(spacing,))  # fmt: skip
    number = count("keys", "Keys", wanted, formula="outside of the blanket ÷ distance², rounded up", given=(area, spacing))
    volume = Figure(key="key_volume", label="Rubber in the keys", value=wanted * volume_each.value / 1000, unit="L",
                    formula="keys × volume of one", given=(number, volume_each))  # fmt: skip
    poured = brief.making is Making.POURED
    made = recipe(brief.rubber, thickener=None if poured else brief.thickener)
    density = recipe_density(made)
    mass = mass_of(volume, density, key="key_mass", label="Rubber in the keys")
    if poured:
        along = replace(mass, key="key_mixed_mass", label=MIXED, value=0.0, formula="none apart: poured along", given=())
        return Keys(number=number, spacing=apart, volume=volume, mass=mass, mixed=along, mixes=())
    loss = rubber_loss(brief.rates, brief.takeoff.area.value)
    mixed = mixed_from_net(mass, loss, key="key_mixed_mass", label=MIXED)
    cap = mix_cap(
        brief,
        mass_each=replace(mass, key="key_each", label="Mass of one key", value=mass.value / wanted, formula="rubber ÷ keys"),
        minutes_each=rate(brief.rates, "key_min"),
        words=("mass of one key", "minutes each"),
        prefix="key",
    )
    mixes = split_into_mixes(mixed=mixed, net=mass, cap=cap, made=made, prefix="key")
    return Keys(number=number, spacing=apart, volume=volume, mass=mass, mixed=mixed, mixes=mixes)


def _volume_each(brief: PlanBrief, spacing: Given) -> Figure:
    """Compute the volume of a square key whose sides lean in [mL]."""
    foot, height = rate(brief.rates, "key_base_mm"), rate(brief.rates, "key_height_mm")
    top = foot.value - 2 * widening_mm(depth_mm=max(height.value, 0.0), draft_deg=DRAFT.value)
    if not (spacing.value > foot.value > 0 and height.value > 0 and top > 0):
        raise BadBrief(
            "Keys must stand further apart than they are wide, and be lower than what their leaning sides leave of them; "
            "correct their distance on the Mold page, or their size under Studio, Rates of work."
        )
    volume_mm3 = height.value / 3 * (foot.value**2 + top**2 + foot.value * top)
    return Figure(
        key="key_volume_each", label="Rubber in one key", value=volume_mm3 / 1000, unit="mL",
        formula="height ÷ 3 × (foot² + top² + foot × top), top = foot − 2 × height × tan lean", given=(foot, height, DRAFT),
    )  # fmt: skip
