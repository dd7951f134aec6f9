"""What a pull under vacuum wants: pressure at this altitude, foam, container, minutes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import Coat, Mix, Reason
from jobs.planning.rubber.mixes import recipe, recipe_density
from jobs.planning.sums import count
from materials.science.vacuum import (
    BUBBLES_BREAK_BELOW,
    INHG_PA,
    LONGEST_PULL,
    expansion,
    foam_factor,
    gauge_for_absolute_pa,
    pressure_at_altitude_pa,
)
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

ISA = Source(kind=SourceKind.PUBLISHED, text="U.S. Standard Atmosphere 1976")
BOYLE = Source(kind=SourceKind.PUBLISHED, text="Boyle's law")
PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
AIR_STIRRED_IN = Given(
    label="Air stirred into a mix", value=5.0, unit="%", low=2.0, high=10.0,
    source=Source(kind=SourceKind.FROM_MEMORY, text="no measured share was found; it depends on how it is stirred"),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A pull under vacuum: the foam (times the mix), the container for the largest mix (L), minutes of all mixes, and why."""

    foam: Figure
    container: Figure
    minutes: Figure
    reasons: tuple[Reason, ...]


def breaks_bubbles(brief: PlanBrief) -> bool:
    """Say whether the studio's vacuum draws low enough for bubbles to break."""
    return rate(brief.rates, "vacuum_abs_kpa").value * 1000 <= BUBBLES_BREAK_BELOW.value


def plan_pull(brief: PlanBrief, coats: Sequence[Coat]) -> Pull:
    """Plan the vacuum for the mixes that are not thickened.

    Raises
    ------
    BadVacuum
        When the altitude or the pressure in the rates is impossible.
    """
    altitude, reached = rate(brief.rates, "altitude_m"), rate(brief.rates, "vacuum_abs_kpa")
    air = Figure(
        key="vacuum_air", label="Pressure of the air here", value=pressure_at_altitude_pa(altitude.value) / 1000, unit="kPa",
        formula="standard atmosphere at this height", given=(altitude,), source=ISA,
    )  # fmt: skip
    grows = Figure(
        key="vacuum_grows", label="Air grows to", unit="1", given=(air, reached),
        formula="pressure of the air ÷ pressure reached",
        value=expansion(absolute_pa=reached.value * 1000, atmosphere_pa=air.value * 1000), source=BOYLE,
    )  # fmt: skip
    foam = _foam(grows)
    thin = [mix for coat in coats if not coat.thickened for mix in coat.mixes]
    return Pull(
        foam=foam, container=_container(brief, thin, foam), minutes=_minutes(brief, len(thin)),
        reasons=tuple(_reasons(brief, coats[0], air, reached)),
    )  # fmt: skip


def _foam(grows: Figure) -> Figure:
    value, low, high = (
        foam_factor(air_share=share / 100, expanded=grows.value)
        for share in (AIR_STIRRED_IN.value, low_end(AIR_STIRRED_IN), high_end(AIR_STIRRED_IN))
    )
    return Figure(
        key="vacuum_foam", label="Foam, times the mix", value=value, unit="1", low=low, high=high,
        formula="(1 − air) + air × growth", given=(AIR_STIRRED_IN, grows), source=BOYLE, note="Before it collapses.",
    )  # fmt: skip


def _container(brief: PlanBrief, mixes: Sequence[Mix], foam: Figure) -> Figure:
    density, times = recipe_density(recipe(brief.rubber)), rate(brief.rates, "vacuum_container_times")
    largest = max((mix.mass for mix in mixes), key=lambda mass: mass.value, default=None)
    volume_l = 0.0 if largest is None else largest.value / density.value
    return Figure(
        key="vacuum_container", label="Container for the largest mix", value=volume_l * max(times.value, foam.value), unit="L",
        formula="mass ÷ density × the larger of foam and usual container",
        given=(*(() if largest is None else (largest,)), density, times, foam),
        low=volume_l * max(low_end(times), low_end(foam)),
        high=volume_l * max(high_end(times), high_end(foam)),
    )  # fmt: skip


def _minutes(brief: PlanBrief, mixes: int) -> Figure:
    each = rate(brief.rates, "vacuum_min")
    number = count("vacuum_mixes", "Mixes under vacuum", mixes, formula="mixes that are not thickened")
    return Figure(
        key="vacuum_minutes", label="In the vacuum, all mixes", value=each.value * number.value, unit="min",
        formula="mixes × minutes each", given=(number, each), low=None if each.low is None else each.low * number.value,
        high=None if each.high is None else each.high * number.value,
    )  # fmt: skip


def _reasons(brief: PlanBrief, first: Coat, air: Figure, reached: Given) -> Iterator[Reason]:
    gauge_kpa = gauge_for_absolute_pa(absolute_pa=reached.value * 1000, atmosphere_pa=air.value * 1000) / 1000
    gauge = Figure(
        key="vacuum_gauge", label="Then a gauge reads here", value=gauge_kpa, unit="kPa", given=(air, reached),
        formula="pressure of the air − pressure reached",
        note=f"{gauge_kpa * 1000 / INHG_PA:.1f} in of mercury; {air.value * 1000 / INHG_PA:.1f} is all it could.",
    )  # fmt: skip
    if breaks_bubbles(brief):
        text = "The vacuum draws low enough for bubbles to break. Release it slowly, and stop before the mix thickens."
        yield Reason(text=text, tone="good", source=BUBBLES_BREAK_BELOW.source, figures=(gauge,))
    else:
        text = "This vacuum swells bubbles and does not break them; draw lower, or choose another way."
        yield Reason(text=text, tone="stop", source=BUBBLES_BREAK_BELOW.source, figures=(gauge,))
    if first.thickened:
        text = "The mix is thickened, and vacuum does not free thickened rubber: leave the thickener out of it."
        yield Reason(text=text, tone="stop", source=PRACTICE)
    minutes = rate(brief.rates, "vacuum_min")
    if minutes.value > LONGEST_PULL.value:
        text = f"Some strong rubbers bear no more than {LONGEST_PULL.value:g} minutes of vacuum; look in the data sheet."
        yield Reason(text=text, tone="look", source=LONGEST_PULL.source)
