"""One casting and the run: resin, skins, minutes, castings a day, and the size that comes out."""

import math
from dataclasses import replace

from jobs.geometry.coats import casting_volume
from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan
from jobs.planning.rubber.cure import cure_of
from jobs.planning.rubber.mixes import mixed_from_net, recipe, weigh
from jobs.planning.run.size import oversize, size, warm_loss
from jobs.planning.run.skins import plan_skins
from jobs.planning.run.turning import film_at_gel, film_limit, heat_rise
from jobs.planning.sums import count, fact, scaled
from materials.science.casting import castings_per_day, cycle_min, flat_shot_g, molds_kept_going, wall_spread_mm
from materials.science.kinetics import time_at
from studio.figures import Figure, Given, high_end, low_end


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
    each = _minutes_each(brief, casting, skins)
    thin, thick = wall_spread_mm(casting.wall_mm.value)
    kept = molds_kept_going(brief.molds, active_min=each.value, cycle_min=cycle.value)
    per_day = _per_day(brief, cycle, each, kept)
    return CastingPlan(
        count=casting.count,
        skins=casting.skins,
        skin_thickness=Figure(
            key="casting_skin_thickness", label="Thickness of one skin", value=casting.wall_mm.value / casting.skins,
            unit="mm", formula="wall ÷ skins", given=(casting.wall_mm, skins),
            low=thin / casting.skins, high=thick / casting.skins,
            note="Pours overlap, and turning leaves a wall uneven by 20 to 30 %.",
        ),
        shot_mass=shot,
        casting_mass=mass,
        mixed_mass=mixed,
        skin_mass=skin,
        skin_parts=weigh(skin, recipe(casting.resin, tint=casting.tint), "casting_skin"),
        film_limit=film_limit(brief, casting),
        size=size(brief, casting),
        minutes_each=each,
        cycle=cycle,
        per_day=per_day,
        days=_days(casting, per_day, kept),
        steps=plan_skins(brief, casting, mixed=skin, mass=mass),
        film_at_gel=film_at_gel(brief, casting),
        heat_rise=heat_rise(casting),
        oversize=oversize(brief, casting),
        demold=_demold(brief, casting),
        warm_loss=warm_loss(brief),
    )  # fmt: skip


def _cycle(brief: PlanBrief, casting: CastingBrief, skins: Figure) -> Figure:
    prepare, pour = rate(brief.rates, "casting_prepare_min"), rate(brief.rates, "casting_skin_min")
    out, clean = rate(brief.rates, "casting_demold_min"), rate(brief.rates, "casting_clean_min")
    wait: Given | Figure = rate(brief.rates, "casting_skin_wait_min")
    if casting.resin.get("gel_min") is not None:
        wait = time_at(casting.resin, "gel_min", brief.temperature_c)
    demold = _demold(brief, casting)
    return Figure(
        key="casting_cycle",
        label="The mold is busy with one casting",
        value=cycle_min(
            prepare_min=prepare.value,
            skins=casting.skins,
            pour_min=pour.value,
            wait_min=wait.value,
            demold_min=demold.value,
            take_out_min=out.value,
            clean_min=clean.value,
        ),
        unit="min",
        formula="preparing + skins × (pouring + waiting) + curing + taking out + cleaning",
        given=(prepare, skins, pour, wait, demold, out, clean),
    )


def _demold(brief: PlanBrief, casting: CastingBrief) -> Figure:
    """Return how long the resin cures; one that takes longer than the room is warm lies over colder nights [min]."""
    return cure_of(brief, casting.resin, key="casting_demold", label="Take it out no sooner than", may_be_short=True)


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
        low=low_end(prepare) + casting.skins * low_end(pour) + low_end(out) + low_end(clean),
        high=high_end(prepare) + casting.skins * high_end(pour) + high_end(out) + high_end(clean),
    )


def _per_day(brief: PlanBrief, cycle: Figure, each: Figure, kept: int) -> Figure:
    shift, startup = rate(brief.rates, "shift_h"), rate(brief.rates, "casting_startup_h")
    # Each further mold starts when the hands are done with the one before it.
    number = sum(
        castings_per_day(shift_h=shift.value, startup_h=startup.value + turn * each.value / 60, cycle_h=cycle.value / 60)
        for turn in range(kept)
    )
    if brief.molds == 1:
        return count("castings_per_day", "Castings a day from one mold", number,
                     formula="(working day − start-up) ÷ cycle, rounded down", given=(shift, startup, cycle))  # fmt: skip
    molds = count("molds_kept", "Molds that one person keeps going", kept,
                  formula="as many whose hands-on minutes fit into one cycle", given=(each, cycle))  # fmt: skip
    return replace(
        count("castings_per_day", f"Castings a day from {brief.molds} molds", number,
              formula="for each mold kept going (working day − start-up − hands-on minutes before it) ÷ cycle, rounded down",
              given=(shift, startup, cycle, each, molds)),
        note="By one person, with a frame for each mold that turns.",
    )  # fmt: skip


def _days(casting: CastingBrief, per_day: Figure, kept: int) -> Figure:
    # A casting that outlasts a working day still comes out the next one.
    days = math.ceil(casting.count / max(per_day.value, float(kept)))
    run = fact("Castings in the run", casting.count, "1")
    return count("casting_days", "Casting days", days, formula="run ÷ castings a day, rounded up", given=(run, per_day))
