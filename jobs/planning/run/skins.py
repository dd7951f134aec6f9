"""The skins of a casting, one after another: resin, wall, turning, and when the next may follow."""

from jobs.geometry.coats import casting_volume
from jobs.geometry.takeoff import Takeoff
from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import SkinStep
from jobs.planning.sums import count
from materials.properties import Chemistry
from materials.science.kinetics import time_at
from materials.science.windows import recoat_window
from studio.figures import Figure

# Resins whose window is known by their chemistry where the data sheet states none.
_KNOWN_WINDOW = frozenset({Chemistry.POLYESTER, Chemistry.EPOXY})
_CLOSE_ENOUGH_MM = 1e-6


def plan_skins(brief: PlanBrief, casting: CastingBrief, *, mixed: Figure, mass: Figure) -> tuple[SkinStep, ...]:
    """Plan every skin of one casting, outermost first.

    Parameters
    ----------
    brief, casting
        What is cast, and at what temperature.
    mixed : Figure
        Resin to mix for one skin. [g]
    mass : Figure
        All resin of one casting. [g]

    Returns
    -------
    tuple of SkinStep
        Masses in g, walls in mm, times in min from the pour.

    Notes
    -----
    Every skin takes the same cup. Inner skins have less surface, so the same resin lies thicker there: the wall after k of n
    skins is the one that holds k/n of the casting's resin.
    """
    walls = [_wall_of_share(brief.takeoff, casting.wall_mm.value, k / casting.skins) for k in range(casting.skins + 1)]
    gel, turning, latest = _gel(brief, casting), _turning(brief, casting), _latest(brief, casting)
    skins = count("skins_of_casting", "Skins", casting.skins, formula="as decided")
    return tuple(
        SkinStep(
            number=number,
            mass=mixed.renamed(key=f"skin_{number}_mass", label=f"Resin to mix for skin {number}"),
            thickness=Figure(
                key=f"skin_{number}_thickness", label=f"Wall that skin {number} adds", value=walls[number] - walls[number - 1],
                unit="mm", formula="wall with this skin − wall without it, each holding its share of the casting's resin",
                given=(casting.wall_mm, skins, mass),
                note="Each skin takes the same cup; inner skins have less surface, so they lie a little thicker.",
            ),
            turning=turning.renamed(key=f"skin_{number}_turning", label="Turn it for"),
            earliest_next=gel.renamed(key=f"skin_{number}_earliest_next", label="Gelled: the next skin may follow after"),
            latest_next=None if latest is None or number == casting.skins else latest.renamed(
                key=f"skin_{number}_latest_next", label="The next skin must follow within"
            ),
        )
        for number in range(1, casting.skins + 1)
    )  # fmt: skip


def gel_time(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    """Return when the resin gels on the day; None where its gel is not known [min]."""
    return None if casting.resin.get("gel_min") is None else time_at(casting.resin, "gel_min", brief.temperature_c)


def _gel(brief: PlanBrief, casting: CastingBrief) -> Figure:
    found = gel_time(brief, casting)
    if found is not None:
        return found
    wait = rate(brief.rates, "casting_skin_wait_min")
    return Figure(
        key="gel", label=wait.label, value=wait.value, unit="min", formula="usual wait; the resin's gel is not known",
        given=(wait,), low=wait.low, high=wait.high,
    )  # fmt: skip


def _turning(brief: PlanBrief, casting: CastingBrief) -> Figure:
    pour, mixing = rate(brief.rates, "casting_skin_min"), rate(brief.rates, "mix_min")
    gel = _gel(brief, casting)
    return Figure(
        key="turning", label="Turn it for", value=max(pour.value - mixing.value, gel.value, 0.0), unit="min",
        formula="the longer of gel, and the minutes of one skin less its mixing", given=(gel, pour, mixing),
        note="Stop only when it no longer runs.",
    )  # fmt: skip


def _latest(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    resin = casting.resin
    if resin.get("recoat_latest_min") is not None:
        return time_at(resin, "recoat_latest_min", brief.temperature_c)
    if resin.chemistry not in _KNOWN_WINDOW or resin.get("gel_min") is None:
        return None
    return recoat_window(resin, brief.temperature_c).latest


def _wall_of_share(takeoff: Takeoff, wall_mm: float, share: float) -> float:
    """Find the wall that holds a share of a casting's resin, by false position: the volume grows with the wall [mm]."""
    if share <= 0 or share >= 1:
        return wall_mm if share >= 1 else 0.0
    wanted = share * casting_volume(takeoff, wall_mm).value
    low, high = 0.0, wall_mm
    below, above = -wanted, casting_volume(takeoff, wall_mm).value - wanted
    middle = share * wall_mm
    for _ in range(60):
        off = casting_volume(takeoff, middle).value - wanted
        # Halving the kept end's value (the Illinois rule) keeps one end from standing still.
        if off < 0:
            low, below, above = middle, off, above / 2
        else:
            high, above, below = middle, off, below / 2
        step = low - below * (high - low) / (above - below)
        if abs(step - middle) < _CLOSE_ENOUGH_MM:
            return step
        middle = step
    return middle
