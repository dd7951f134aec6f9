"""One casting and the run: resin, skins, minutes, castings a day, and the size that comes out."""

import math

from jobs.geometry.coats import casting_volume
from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.mixes import mixed_from_net, recipe, weigh
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan
from jobs.planning.sums import count, fact, scaled
from materials.science.casting import castings_per_day, film_limit_mm, flat_shot_g
from materials.science.kinetics import time_at
from materials.science.shrinkage import cast_length_mm
from studio.figures import Figure, Given


def plan_castings(brief: PlanBrief) -> CastingPlan | None:
    """Plan one casting and the run, or return None when nothing is cast."""
    casting = brief.casting
    if casting is None:
        return None
    if not 1 <= casting.skins <= 20:
        raise BadBrief("A casting is poured in 1 to 20 skins.")
    if not 1 <= casting.count <= 10000:
        raise BadBrief("A run has 1 to 10 000 castings.")
    density = casting.resin.need("density_kg_m3")
    shot = Figure(
        key="casting_shot",
        label="Resin to lay in one casting",
        value=flat_shot_g(area_m2=brief.takeoff.area.value, wall_mm=casting.wall_mm.value, density_kg_m3=density.value),
        unit="g",
        formula="surface × wall × density, as if flat",
        given=(brief.takeoff.area, casting.wall_mm, density),
        note="A little more than the casting weighs; buy by it.",
    )
    inside = casting_volume(brief.takeoff, casting.wall_mm.value)
    mass = scaled(inside, density.value * 1000, key="casting_mass", label="Mass of one casting", unit="g",
                  formula="volume of the wall × density", given=(density,))  # fmt: skip
    mixed = mixed_from_net(shot, rate(brief.rates, "resin_loss_percent"), key="casting_mixed",
                           label="Resin to mix for one casting")  # fmt: skip
    skins = count("casting_skins", "Skins", casting.skins, formula="as decided")
    skin = scaled(mixed, 1 / casting.skins, key="casting_skin_mass", label="Resin to mix for one skin", unit="g",
                  formula="resin of one casting ÷ skins", given=(skins,))  # fmt: skip
    cycle = _cycle(brief, casting, skins)
    per_day = _per_day(brief, cycle)
    return CastingPlan(
        count=casting.count,
        skins=casting.skins,
        skin_thickness=Figure(
            key="casting_skin_thickness", label="Thickness of one skin", value=casting.wall_mm.value / casting.skins,
            unit="mm", formula="wall ÷ skins", given=(casting.wall_mm, skins),
        ),
        shot_mass=shot,
        casting_mass=mass,
        mixed_mass=mixed,
        skin_mass=skin,
        skin_parts=weigh(skin, recipe(casting.resin, tint=casting.tint), "casting_skin"),
        film_limit=_film_limit(brief, casting, density),
        size=_size(brief, casting),
        minutes_each=_minutes_each(brief, casting, skins),
        cycle=cycle,
        per_day=per_day,
        days=_days(casting, per_day),
    )  # fmt: skip


def _cycle(brief: PlanBrief, casting: CastingBrief, skins: Figure) -> Figure:
    prepare, pour = rate(brief.rates, "casting_prepare_min"), rate(brief.rates, "casting_skin_min")
    out, clean = rate(brief.rates, "casting_demold_min"), rate(brief.rates, "casting_clean_min")
    wait: Given | Figure = rate(brief.rates, "casting_skin_wait_min")
    if casting.resin.get("gel_min") is not None:
        wait = time_at(casting.resin, "gel_min", brief.temperature_c)
    demold = time_at(casting.resin, "demold_min", brief.temperature_c)
    return Figure(
        key="casting_cycle",
        label="The mold is busy with one casting",
        value=prepare.value + casting.skins * (pour.value + wait.value) + demold.value + out.value + clean.value,
        unit="min",
        formula="preparing + skins × (pouring + waiting) + curing + taking out + cleaning",
        given=(prepare, skins, pour, wait, demold, out, clean),
    )


def _minutes_each(brief: PlanBrief, casting: CastingBrief, skins: Figure) -> Figure:
    prepare, pour = rate(brief.rates, "casting_prepare_min"), rate(brief.rates, "casting_skin_min")
    out, clean = rate(brief.rates, "casting_demold_min"), rate(brief.rates, "casting_clean_min")
    return Figure(
        key="casting_minutes_each",
        label="Hands-on minutes at the mold, one casting",
        value=prepare.value + casting.skins * pour.value + out.value + clean.value,
        unit="min",
        formula="preparing + skins × pouring + taking out + cleaning",
        given=(prepare, skins, pour, out, clean),
    )


def _per_day(brief: PlanBrief, cycle: Figure) -> Figure:
    shift, startup = rate(brief.rates, "shift_h"), rate(brief.rates, "casting_startup_h")
    number = castings_per_day(shift_h=shift.value, startup_h=startup.value, cycle_h=cycle.value / 60)
    return count("castings_per_day", "Castings a day from one mold", number,
                 formula="(working day − start-up) ÷ cycle, rounded down", given=(shift, startup, cycle))  # fmt: skip


def _days(casting: CastingBrief, per_day: Figure) -> Figure:
    # A casting that outlasts a working day still comes out the next one.
    days = math.ceil(casting.count / max(per_day.value, 1.0))
    run = fact("Castings in the run", casting.count, "1")
    return count("casting_days", "Casting days", days, formula="run ÷ castings a day, rounded up", given=(run, per_day))


def _film_limit(brief: PlanBrief, casting: CastingBrief, density: Given) -> Figure | None:
    viscosity = casting.resin.get("viscosity_pa_s")
    if viscosity is None or casting.turning_rpm is None:
        return None
    radius = casting.turning_radius_m or fact("Half the smallest side of the piece", min(brief.takeoff.box_mm) / 2000, "m")
    return Figure(
        key="casting_film_limit",
        label="Film that turning holds just after mixing",
        value=film_limit_mm(
            viscosity_pa_s=viscosity.value,
            turning_rpm=casting.turning_rpm.value,
            radius_m=radius.value,
            density_kg_m3=density.value,
        ),
        unit="mm",
        formula="0.707 × √(viscosity × speed × radius ÷ (density × g))",
        given=(viscosity, casting.turning_rpm, radius, density),
    )


def _size(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    rubber, resin = brief.rubber.get("shrinkage_percent"), casting.resin.get("shrinkage_percent")
    if rubber is None or resin is None:
        return None
    longest = fact("Longest side of the piece", max(brief.takeoff.box_mm), "mm", brief.takeoff.volume.source)
    return Figure(
        key="casting_size",
        label="Longest side of a casting",
        value=cast_length_mm(piece_length_mm=longest.value, mold_percent=rubber.value, resin_percent=resin.value),
        unit="mm",
        formula="length × (1 − rubber's shrinkage) × (1 − resin's shrinkage)",
        given=(longest, rubber, resin),
        high=longest.value,
        note="The shell holds the rubber partly at size, so it may come out a little larger.",
    )
