"""Minutes that one mix takes before it is laid: weighing, mixing, and vacuum where it is drawn out."""

from jobs.planning.advice.vacuum import breaks_bubbles
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.rates import rate
from materials.science.kinetics import time_at
from studio.figures import Figure, Given, high_end, low_end

# Common practice: below this a mix runs off a stick in a thin thread by itself.
RUNNY_PA_S = 10.0


def suggested_way(brief: PlanBrief) -> Deairing:
    """Return how air gets out where nobody decided: by the making, the rubber, and what the studio's vacuum reaches."""
    if brief.making is Making.BRUSHED:
        return Deairing.THIN
    drawn = breaks_bubbles(brief) and not is_runny(brief) and not too_quick(brief)
    return Deairing.VACUUM if drawn else Deairing.NONE


def too_quick(brief: PlanBrief) -> bool:
    """Say whether mixing and vacuum take more than half of what of the pot life can be used."""
    pot_life = time_at(brief.rubber, "pot_life_min", brief.temperature_c).value * rate(brief.rates, "pot_life_usable_share").value
    return rate(brief.rates, "mix_min").value + rate(brief.rates, "vacuum_min").value > pot_life / 2


def is_runny(brief: PlanBrief) -> bool:
    """Say whether the rubber is known to be thin enough to free itself of most bubbles."""
    viscosity = brief.rubber.get("viscosity_pa_s")
    return viscosity is not None and viscosity.value < RUNNY_PA_S


def air_minutes_per_mix(brief: PlanBrief) -> Given | None:
    """Return the minutes that each unthickened mix spends under vacuum, None where none does [min].

    Somebody stays beside the chamber and watches the foam, so they are hands-on minutes, and they count inside the pot life.
    Thickened mixes are never put under vacuum; it does not free them.
    """
    way = brief.deairing or suggested_way(brief)
    return rate(brief.rates, "vacuum_min") if way is Deairing.VACUUM else None


def handling_minutes(brief: PlanBrief, *, thickened: bool, prefix: str) -> Given | Figure:
    """Return the hands-on minutes of one mix beside laying it, with its time in the vacuum [min]."""
    return _with_vacuum(brief, "mix_handling_min", thickened, f"{prefix}_handling", "Minutes of one mix, vacuum and all")


def mixing_minutes(brief: PlanBrief, *, thickened: bool, prefix: str) -> Given | Figure:
    """Return the minutes of the pot life that are gone before a mix is laid [min]."""
    return _with_vacuum(brief, "mix_min", thickened, f"{prefix}_mixing", "Minutes of mixing and vacuum inside the pot life")


def _with_vacuum(brief: PlanBrief, key: str, thickened: bool, name: str, label: str) -> Given | Figure:
    plain, vacuum = rate(brief.rates, key), None if thickened else air_minutes_per_mix(brief)
    if vacuum is None:
        return plain
    return Figure(
        key=name, label=label, value=plain.value + vacuum.value, unit="min", formula="as rated + in the vacuum",
        given=(plain, vacuum), low=low_end(plain) + low_end(vacuum),
        high=high_end(plain) + high_end(vacuum),
    )  # fmt: skip
