"""What turning does to the resin: the film it holds at mixing and near gel, and the heat of a thick skin."""

from collections.abc import Callable

from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.sums import fact
from materials.science.casting import NEAR_GEL, adiabatic_rise_k, film_limit_mm, film_near_gel_mm, heat_of
from studio.figures import Figure, Given


def film_limit(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    """Compute the film that turning holds just after mixing; None without viscosity or speed [mm]."""
    viscosity = casting.resin.get("viscosity_pa_s")
    if viscosity is None:
        return None
    label = "Film that turning holds just after mixing"
    return _film(brief, casting, viscosity, film_limit_mm, key="casting_film_limit", label=label)


def film_at_gel(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    """Compute the film that turning holds shortly before gel, at about 1 Pa·s; None without viscosity or speed [mm]."""
    viscosity = casting.resin.get("viscosity_pa_s")
    if viscosity is None:
        return None
    thickened = NEAR_GEL if viscosity.value < NEAR_GEL.value else viscosity
    label = "Film that turning holds shortly before gel"
    note = "Resin thickens as it gels; only then does it stay where it is carried."
    return _film(brief, casting, thickened, film_near_gel_mm, key="casting_film_at_gel", label=label, note=note)


def _film(
    brief: PlanBrief, casting: CastingBrief, viscosity: Given, law: Callable[..., float], *, key: str, label: str, note: str = ""
) -> Figure | None:
    if casting.turning_rpm is None:
        return None
    density, radius = casting.resin.need("density_kg_m3"), _radius(brief, casting)
    return Figure(
        key=key,
        label=label,
        value=law(
            viscosity_pa_s=viscosity.value,
            turning_rpm=casting.turning_rpm.value,
            radius_m=radius.value,
            density_kg_m3=density.value,
        ),
        unit="mm",
        formula="0.707 × √(viscosity × speed × radius ÷ (density × g))",
        given=(viscosity, casting.turning_rpm, radius, density),
        note=note,
    )


def heat_rise(casting: CastingBrief) -> Figure | None:
    """Compute how much warmer resin gets that loses none of its heat; None where its heat is not told [K]."""
    usual = heat_of(casting.resin.chemistry)
    if usual is None:
        return None
    heat, specific = casting.resin.get("exotherm_kj_kg") or usual[0], usual[1]

    def rise(value: float | None) -> float | None:
        return None if value is None else adiabatic_rise_k(heat_kj_kg=value, specific_heat_kj_kg_k=specific.value)

    return Figure(
        key="casting_heat_rise",
        label="A puddle of this resin gets warmer by up to",
        value=adiabatic_rise_k(heat_kj_kg=heat.value, specific_heat_kj_kg_k=specific.value),
        unit="K",
        formula="heat of cure ÷ specific heat, with no heat lost",
        given=(heat, specific),
        low=rise(heat.low),
        high=rise(heat.high),
        note="Thin skins lose most of it; thick bottoms and puddles come near it and can cook the rubber.",
    )


def _radius(brief: PlanBrief, casting: CastingBrief) -> Given:
    return casting.turning_radius_m or fact("Half the smallest side of the piece", min(brief.takeoff.box_mm) / 2000, "m")
