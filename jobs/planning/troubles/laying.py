"""Troubles of laying and curing rubber: thin spots, floppiness, air, inhibition, windows, cold, heat, ratio."""

from jobs.planning.advice.air import SEEN_MM
from jobs.planning.advice.wall import TOLD_APART_MM
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import MoldPlan
from jobs.planning.sums import fact
from jobs.planning.troubles.judged import Judged, good, look, plain, stop
from materials.science.compatibility import Outcome
from materials.science.kinetics import lowest_temperature, time_at
from materials.science.sag import film_left_mm
from materials.science.stretch import tear_force_n
from materials.science.windows import SILICONES
from studio.figures import Figure

# This program's choices of where a number begins to warn.
FAR_TOO_THIN = 0.75
SLOWER, MUCH_SLOWER = 1.25, 2.0
FEW_MINUTES, TOO_FEW_MINUTES = 10.0, 5.0
DAY_H, WEEKEND_H = 24.0, 48.0


def thin_spots(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the wall with the mean that keeps the least wall in 95 of 100 spots."""
    if brief.making is Making.BLOCK:
        return good("A block is thick everywhere; its thinnest spot is the margin to the box.", plan.coats[0].thickness)
    advice = plan.wall_advice
    if advice is None:
        return look("No usual wall is known for this piece; enter its size, and measure the blanket with a needle.")
    wall, least = plain("wall", brief.wall_mm), advice.advised.low
    left, tears = _film_left(brief, plan), _tear_force(brief)
    if wall.value >= advice.mean.value - TOLD_APART_MM:
        return good("The mean wall keeps the least wall in 95 of 100 spots.", wall, advice.mean, left, tears)
    if least is None or wall.value >= least:
        return look("The mean wall is enough, but edges and noses come out thinner than that.", wall, advice.mean, left, tears)
    if wall.value >= FAR_TOO_THIN * least:
        return look("Even the mean wall is below the least that is usual for this size.", wall, advice.mean, left, tears)
    return stop("The wall is far below the least that is usual for this size; edges will tear.", wall, advice.mean, left, tears)


def _tear_force(brief: PlanBrief) -> Figure | None:
    """Compute the pull that runs a tear on through the wall, None where the tear strength is not known [N]."""
    strength = brief.rubber.get("tear_strength_kn_m")
    if strength is None:
        return None
    force = tear_force_n(tear_strength_kn_m=strength.value, wall_mm=brief.wall_mm.value)
    return Figure(
        key="tear_force", label="A tear runs on when it is pulled with", value=force, unit="N", formula="tear strength × wall",
        given=(strength, brief.wall_mm), note="At a thin edge it takes so much less.",
    )  # fmt: skip


def _film_left(brief: PlanBrief, plan: MoldPlan) -> Figure | None:
    """Compute what of an unthickened first coat is left at the foot of a wall when it gels [mm]."""
    viscosity, density, first = brief.rubber.get("viscosity_pa_s"), brief.rubber.get("density_kg_m3"), plan.coats[0]
    if viscosity is None or density is None or first.thickened or brief.making is not Making.BRUSHED:
        return None
    height = fact("Height of the piece", brief.takeoff.box_mm[2], "mm", brief.takeoff.volume.source)
    gel = first.earliest_next
    return Figure(
        key="film_left", label="Of the print coat, what a wall keeps at its foot", unit="mm",
        value=min(
            first.thickness.value,
            film_left_mm(
                below_top_m=height.value / 1000, viscosity_pa_s=viscosity.value, minutes=gel.value, density_kg_m3=density.value
            ),
        ),
        formula="√(viscosity × height ÷ (density × g × time until gel)), no more than the coat",
        given=(viscosity, height, density, gel, first.thickness), note="It thickens as it gels, so a little more stays.",
    )  # fmt: skip


def floppy(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the tallest flap with the height at which the wall stands by itself."""
    if brief.making is Making.BLOCK:
        return good("A block carries itself.", plan.coats[0].thickness)
    stand = plan.stand
    if stand is None or stand.freestanding is None:
        return look("How stiff this rubber is is not known: enter its hardness, or its modulus at 100 %, on the material's page.")
    if stand.tallest.value <= stand.freestanding.value:
        return good("The blanket stands by itself.", stand.freestanding, stand.tallest)
    if stand.keys.value > 0:
        return look(
            "It folds when it stands alone; keys must bring it back to its seat.", stand.freestanding, stand.tallest, stand.keys
        )
    return stop("It folds when it stands alone, and no keys bring it back to its seat.", stand.freestanding, stand.tallest)


def trapped_air(_brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the smallest bubble that leaves the rubber at the face with what shows on a casting."""
    air, first = plan.air, plan.coats[0]
    thick = first.thickness.renamed(key="first", label=first.role.label)
    if air is None:
        return look("How air gets out was not planned.", thick)
    if first.thickened or any(reason.tone == "stop" for reason in air.reasons):
        return stop(
            "The rubber at the face keeps its bubbles: they do not leave thickened or badly drawn rubber.", first.thickness
        )
    if air.way is Deairing.VACUUM:
        return good("Vacuum draws the air out before the rubber is laid.", air.foam)
    if air.way is Deairing.NONE and air.suggested is not Deairing.NONE:
        return stop("Nothing takes the air out of the rubber at the face.", thick)
    if air.smallest_leaving is None:
        return look("How thick this rubber flows is not known: enter its viscosity on the material's page.", thick)
    if air.smallest_leaving.value > SEEN_MM:
        return look("Bubbles that show on a casting stay in the rubber at the face.", air.smallest_leaving, thick)
    return good("Bubbles that would show leave before it gels.", air.smallest_leaving, thick)


def inhibition(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Take the verdict on rubber, surface, scrap and what is stirred in; the figure is how long a patch test rests."""
    rests = time_at(brief.rubber, "demold_min", brief.temperature_c).renamed(key="patch", label="A patch test rests for")
    verdict = plan.verdict
    if verdict.outcome is Outcome.GOOD:
        return good(f"{verdict.reason} A patch test still costs less than a mold.", rests)
    if verdict.outcome is Outcome.TEST:
        return look(f"{verdict.reason} {verdict.advice}", rests)
    return stop(f"{verdict.reason} {verdict.advice}", rests)


def missed_recoat(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the shortest window for a next coat with a night and a weekend."""
    follow = plan.coats[:-1]
    if not follow:
        return good("One pour: there is no next coat to miss.", plan.coats_count)
    known = [coat.latest_next for coat in follow if coat.latest_next is not None]
    if len(known) < len(follow):
        return look(f"Until when {brief.rubber.name} bonds is not known: enter its latest recoat on the material's page.")
    latest = min(known, key=lambda figure: figure.value)
    shift = rate(brief.rates, "shift_h")
    night = Figure(key="night", label="From the end of one day to the next", value=60 * (DAY_H - shift.value), unit="min",
                   formula="24 h − working day", given=(shift,))  # fmt: skip
    if brief.rubber.chemistry in SILICONES:
        if latest.value < night.value:
            return look("The next coat must follow on the same day, or the last one is wiped and tested first.", latest, night)
        return good("It bonds the next morning; over a weekend it is wiped clean and tested first.", latest, night)
    if latest.value < night.value:
        return stop("A coat that is not followed on the same day peels: begin none that cannot be.", latest, night)
    if latest.value < night.value + 60 * WEEKEND_H:
        return look("A coat laid before a weekend is followed too late.", latest, night)
    return good("Even after a weekend the next coat bonds.", latest)


def too_cold(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the cure in this room, nights and all, with the one that is stated."""
    stated = plain("stated", brief.rubber.need("demold_min"), label="Demold at the temperature that it is stated for")
    lowest = plain("lowest", lowest_temperature(brief.rubber))
    night = brief.night_temperature_c
    slower = plan.blanket_cure.value / stated.value
    if night is not None and night.value < lowest.value:
        shown = plain("night", night)
        return stop(
            "At night it is colder than this rubber is known to cure: those hours count for nothing.",
            shown,
            lowest,
            plan.blanket_cure,
        )
    if slower > MUCH_SLOWER:
        return stop(
            "In this room it takes more than twice as long as stated; opened by the label it is soft.", plan.blanket_cure, stated
        )
    if slower > SLOWER:
        return look(
            "In this room it takes longer than stated; open by this plan and not by the label.", plan.blanket_cure, stated
        )
    return good("The room is about as warm as the stated times want.", plan.blanket_cure, stated)


def too_hot(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell how many minutes are left for laying a mix on the day."""
    pot_life = time_at(brief.rubber, "pot_life_min", brief.temperature_c)
    usable, mixing = rate(brief.rates, "pot_life_usable_share"), rate(brief.rates, "mix_min")
    left = Figure(
        key="minutes_left", label="Left for laying one mix", value=usable.value * pot_life.value - mixing.value, unit="min",
        formula="usable share × pot life − mixing", given=(usable, pot_life, mixing),
    )  # fmt: skip
    cap = min((coat.mix_cap for coat in plan.coats), key=lambda figure: figure.value)
    if left.value < TOO_FEW_MINUTES:
        return stop("It gels in the cup: hardly any time is left for laying.", left, cap)
    if left.value < FEW_MINUTES:
        return look("Little time is left for laying; keep mixes small and have everything at hand.", left, cap)
    return good("There is time to lay each mix.", left, cap)
