"""From a brief to the whole plan of a mold and its run."""

import math
from dataclasses import replace

from jobs.planning.advice.aftercare import aftercare_remarks
from jobs.planning.advice.blanket import advise_blanket
from jobs.planning.brief import PlanBrief
from jobs.planning.cautions import plan_cautions
from jobs.planning.errors import BadBrief, IncompatibleMaterials
from jobs.planning.needs import plan_needs
from jobs.planning.pours.pour import is_poured
from jobs.planning.remarks import plan_remarks
from jobs.planning.results import CastingPlan, Coat, CoatRole, FillPlan, Mix, MoldPlan, StandPlan, StripPlan, Task
from jobs.planning.rubber.cure import full_cure
from jobs.planning.rubber.doses import dose_remarks
from jobs.planning.rubber.fill import is_from_shape, takes_scrap
from jobs.planning.rubber.humidity import humidity_remarks
from jobs.planning.rubber.laying import as_made, plan_laying
from jobs.planning.rubber.remarks import laying_remarks
from jobs.planning.rubber.strip import plan_strip, strip_rubber
from jobs.planning.run.castings import plan_castings
from jobs.planning.run.frame import plan_frame
from jobs.planning.run.life import plan_life
from jobs.planning.run.molds import check_molds, every_mold, of_all
from jobs.planning.run.remarks import casting_remarks, frame_remarks, life_remarks, shell_remarks
from jobs.planning.shape import positions_figure
from jobs.planning.shell.lifts import hands_to_turn, plan_lifts
from jobs.planning.shell.shell import plan_shell
from jobs.planning.sums import count, scaled, total
from jobs.planning.troubles.troubles import plan_troubles
from jobs.planning.work.tasks import plan_tasks, timed
from jobs.planning.work.work import Work
from materials.science.bonding import additive_verdict, scrap_verdict, surface_verdict, worst
from materials.science.compatibility import Outcome, Verdict
from materials.science.kinetics import time_at
from studio.figures import Figure
from studio.workrates import Stage

RUN_STAGES = frozenset({Stage.CAST, Stage.FINISH})


def make_plan(brief: PlanBrief) -> MoldPlan:
    """Plan the mold: coats, mixes, fill, shell, castings, tasks and needs.

    Parameters
    ----------
    brief : PlanBrief
        The takeoff, the materials and the decisions.

    Returns
    -------
    MoldPlan
        Masses in g, volumes in L, thicknesses in mm, times in min and h; every number carries its working.

    Raises
    ------
    IncompatibleMaterials
        When the rubber is known not to cure against the surface or the scrap.
    PlanningError, ScienceError, GeometryError
        When a decision, a property or a temperature is missing or impossible; the message says which.
    """
    _check(brief)
    brief = as_made(brief)
    verdicts = judge(brief)
    for verdict in verdicts:
        if not verdict.allowed:
            raise IncompatibleMaterials(f"{verdict.reason} {verdict.advice}")
    laid = plan_laying(brief)
    coats, fill = laid.coats, laid.fill
    shell, casting = plan_shell(brief), plan_castings(brief)
    advice, strip = advise_blanket(brief, coats), plan_strip(brief)
    cure = full_cure(brief, key="blanket_cure", label=_cure_label(brief))
    beside = _beside(advice.stand, strip)
    rubber = _rubber_of_a_mold(coats, fill, beside)
    lifts = plan_lifts(brief, blanket=rubber, shell=shell, casting=casting)
    heavy = any(lift.people > 1 for lift in lifts)
    work = Work(
        coats=coats, cure_min=cure.value, fill=fill, strip=strip, gauges=advice.gauges, stand=advice.stand, shell=shell,
        casting=casting, clay=laid.clay, box=laid.box, turning_hands=hands_to_turn(brief, rubber),
        patch_min=_patch_min(brief, verdicts[0]),
    )  # fmt: skip
    tasks, broken = timed(brief, every_mold(plan_tasks(brief, work), brief), casting, heavy=heavy)
    totals = _totals(coats, fill, beside)
    shell = None if shell is None else replace(shell, lifts=lifts)
    frame, life = plan_frame(brief, blanket=rubber, shell=shell, casting=casting), plan_life(brief)
    made = MoldPlan(
        coats=coats,
        fill=fill,
        shell=shell,
        casting=casting,
        tasks=tasks,
        needs=plan_needs(
            brief, coats, fill, shell, casting, strip=strip, keys=() if advice.stand is None else advice.stand.key_mixes
        ),
        cautions=plan_cautions(brief, heavy=heavy),
        remarks=plan_remarks(
            brief,
            verdicts=verdicts,
            coats=coats,
            fill=fill,
            tasks=tasks,
            more=(
                *shell_remarks(brief, shell),
                *casting_remarks(brief, casting),
                *frame_remarks(brief, frame),
                *life_remarks(brief, life),
                *advice.remarks,
                *laying_remarks(brief, tasks, broken),
                *humidity_remarks(brief, coats),
                *dose_remarks(brief),
                *aftercare_remarks(brief),
            ),
        ),
        verdict=worst(*verdicts),
        positions=brief.positions,
        positions_count=positions_figure(brief.positions, brief.shape, brief.positions_typed),
        seam=_seam(brief),
        people_per_coat=brief.people_per_coat,
        temperature=brief.temperature_c,
        making=brief.making,
        molds=brief.molds,
        clay=laid.clay,
        box=laid.box,
        frame=frame,
        life=life,
        lifts=lifts,
        strip=strip,
        gauges=advice.gauges,
        stand=advice.stand,
        air=advice.air,
        wall_advice=advice.wall,
        stretch=advice.stretch,
        blanket_cure=cure,
        rubber_fresh=of_all(totals["rubber_fresh"], brief.molds),
        rubber_net=of_all(totals["rubber_net"], brief.molds),
        scrap=of_all(totals["scrap"], brief.molds),
        coats_count=totals["coats_count"],
        mixes_count=of_all(totals["mixes_count"], brief.molds),
        blanket_mass=totals["blanket_mass"],
        mold_hours=_hours("mold_hours", _hours_label(brief.molds), [t for t in tasks if t.stage not in RUN_STAGES]),
        hours_hands_on=_hours("hours_hands_on", "Hands-on hours", list(tasks)),
        resin_total=_resin(casting),
        shell_mass=None if shell is None else of_all(shell.mass.renamed(key="shells_mass", label=shell.mass.label), brief.molds),
    )
    return replace(made, troubles=plan_troubles(brief, made))


def _patch_min(brief: PlanBrief, of_surface: Verdict) -> float | None:
    """Return how long a patch test rests: one full demold; None where what is known of the surface asks for none. [min]"""
    if of_surface.outcome is not Outcome.TEST:
        return None
    return time_at(brief.rubber, "demold_min", brief.temperature_c).value


def _cure_label(brief: PlanBrief) -> str:
    return "Rubber cures before it is opened" if is_poured(brief) else "Blanket rests before the shell and before opening"


def judge(brief: PlanBrief) -> tuple[Verdict, ...]:
    """Judge the rubber against the surface, what is stirred into it, and the scrap where scrap is wanted."""
    rubber = brief.rubber
    verdicts = [surface_verdict(brief.surface, sealed=brief.sealed, rubber=rubber.chemistry)]
    verdicts.extend(
        additive_verdict(rubber=rubber.chemistry, additive=spec.chemistry, name=spec.name)
        for spec in (brief.thickener, brief.tint)
        if spec is not None and not is_poured(brief)
    )
    if brief.scrap is not None and takes_scrap(brief):
        verdicts.append(
            scrap_verdict(
                rubber=rubber.chemistry,
                rubber_family=rubber.family,
                scrap=brief.scrap.chemistry,
                scrap_family=brief.scrap.family,
            )
        )
    return tuple(verdicts)


def _check(brief: PlanBrief) -> None:
    check_molds(brief)
    if not 1 <= brief.positions <= 12:
        raise BadBrief("The piece is worked in 1 to 12 positions.")
    if not 1 <= brief.people_per_coat <= 12:
        raise BadBrief("One to twelve people can lay a coat.")
    numbers = (
        brief.wall_mm, brief.print_coat_mm, brief.closing_coat_mm, brief.temperature_c, brief.fill_volume_l,
        brief.scrap_share_percent, brief.packing_fraction, brief.seam_length_m, brief.night_temperature_c, brief.strip_width_mm,
        brief.strip_height_mm,
    )  # fmt: skip
    for given in numbers:
        if given is not None and not math.isfinite(given.value):
            raise BadBrief(f"“{given.label}” is not a number; type it again.")
    if brief.seam_length_m is not None and brief.seam_length_m.value < 0:
        raise BadBrief("The length of the parting strip cannot be less than nought.")
    for key, minutes in brief.minutes_overrides.items():
        if not (math.isfinite(minutes) and minutes >= 0):
            raise BadBrief(f"The minutes typed for {key.replace('_', ' ')} must be nought or more.")


def _seam(brief: PlanBrief) -> Figure:
    told = brief.seam_length_m
    # Where rubber is poured no strip is cast; what is left of it is the seam that is cut.
    label = "Seam to cut" if is_poured(brief) else "Parting strip"
    if told is None:
        return Figure(key="seam", label=label, value=0.0, unit="m", formula="not known yet; type it")
    formula = "as computed from the shape" if is_from_shape(told) else "as typed"
    return Figure(key="seam", label=label, value=told.value, unit="m", formula=formula, given=(told,))


def _beside(stand: StandPlan | None, strip: StripPlan | None) -> list[tuple[Figure, Figure, tuple[Mix, ...]]]:
    """Return the rubber of keys and parting strip: net and mixed [g], and the mixes."""
    found = []
    if stand is not None and stand.key_mixes:
        found.append((stand.key_mass, stand.key_mixed, stand.key_mixes))
    if strip is not None:
        found.append(strip_rubber(strip))
    return found


def _totals(
    coats: tuple[Coat, ...], fill: FillPlan | None, beside: list[tuple[Figure, Figure, tuple[Mix, ...]]]
) -> dict[str, Figure]:
    mixed, net = [coat.mixed_mass for coat in coats], [coat.net_mass for coat in coats]
    mixes = sum(len(coat.mixes) for coat in coats)
    poured = coats[0].role is CoatRole.POUR
    blanket = total("blanket_mass", "Mass of the pour" if poured else "Mass of the blanket", "g", net)
    if fill is not None:
        mixed, net, mixes = [*mixed, fill.mixed_mass], [*net, fill.net_mass], mixes + len(fill.mixes)
    for more_net, more_mixed, more in beside:
        mixed, net, mixes = [*mixed, more_mixed], [*net, more_net], mixes + len(more)
    none = Figure(key="scrap", label="Scrap used", value=0.0, unit="g", formula="no scrap is used")
    return {
        "rubber_fresh": total("rubber_fresh", "Fresh rubber to mix", "g", mixed),
        "rubber_net": total("rubber_net", "Fresh rubber in the mold", "g", net),
        "scrap": none if fill is None else fill.scrap_mass.renamed(key="scrap", label="Scrap used"),
        "coats_count": count(
            "coats_count",
            "Coats",
            len(coats),
            formula="one pour" if poured else "print + build + closing coats",
        ),
        "mixes_count": count(
            "mixes_count", "Mixes", mixes, formula="mixes of all coats, the fill, the keys and the parting strip"
        ),
        "blanket_mass": blanket,
    }


def _hours_label(molds: int) -> str:
    return "Hands-on hours for the mold" if molds == 1 else f"Hands-on hours for {molds} molds"


def _rubber_of_a_mold(
    coats: tuple[Coat, ...], fill: FillPlan | None, beside: list[tuple[Figure, Figure, tuple[Mix, ...]]]
) -> Figure:
    masses = [coat.net_mass for coat in coats]
    masses += [net for net, _, _ in beside]
    masses += [] if fill is None else [fill.net_mass, fill.scrap_mass]
    return total("mold_rubber", "Rubber of one mold", "g", masses)


def _hours(key: str, label: str, tasks: list[Task]) -> Figure:
    minutes = total(f"{key}_minutes", "Hands-on minutes", "min", [task.minutes for task in tasks])
    return scaled(minutes, 1 / 60, key=key, label=label, unit="h", formula="minutes of all tasks ÷ 60")


def _resin(casting: CastingPlan | None) -> Figure | None:
    if casting is None:
        return None
    run = count("resin_run", "Castings in the run", casting.count, formula="as decided")
    return scaled(casting.mixed_mass, casting.count, key="resin_total", label="Resin to mix for the run", unit="g",
                  formula="resin of one casting × castings", given=(run,))  # fmt: skip
