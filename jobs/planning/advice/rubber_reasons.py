"""What speaks for and against one rubber, besides the surface that it is laid on."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from jobs.planning.advice.stretch import SELDOM, allowed_stretch
from jobs.planning.brief import ScrapSpec
from jobs.planning.rates import rate
from jobs.planning.results import Reason
from jobs.planning.run.life import castings_expected
from jobs.planning.sums import fact
from materials.properties import Chemistry
from materials.science.bonding import scrap_verdict
from materials.science.compatibility import Outcome
from materials.science.errors import ScienceError
from materials.science.kinetics import lowest_temperature, time_at
from materials.science.life import RUN_SHARE
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given, Source, SourceKind

PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
# Common practice, no source: above this the blanket goes over a deep undercut; above that length a piece is large.
DEEP_STRETCH, LARGE_MM = 0.5, 1000.0
DEEP_A, GENERAL_A, LARGE_A = (10.0, 15.0), (20.0, 25.0), (28.0, 32.0)
HARDNESS_TOLERANCE_A = 2.0
# Common practice: within so many degrees of its lowest temperature a rubber is slow and may stall at night.
NEAR_STALL_K = 3.0
MOST_MIXES_OF_PRINT_COAT = 6
STEADY_SHRINKAGE_PERCENT = 0.1
# Resins that stick to polyurethane rubber.
_STICK_TO_POLYURETHANE = frozenset({Chemistry.EPOXY, Chemistry.POLYESTER, Chemistry.POLYURETHANE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the rubber is wanted for; None where it is not known."""

    resin: MaterialSpec | None
    castings: int
    stretch: float | None
    longest_mm: float | None
    area_m2: float | None
    scrap: ScrapSpec | None
    temperature: Given | None
    rates: Mapping[str, Given]


def reasons_for(rubber: MaterialSpec, asked: Asked) -> tuple[Reason, ...]:
    """List what speaks for and against a rubber, in the order of the work; what is not known is left out."""
    judges: tuple[Callable[[MaterialSpec, Asked], Iterator[Reason]], ...] = (
        _room, _print_coat, _hardness, _stretching, _scrap, _life, _size,
    )  # fmt: skip
    return tuple(reason for judge in judges for reason in judge(rubber, asked))


def wanted_hardness(asked: Asked) -> tuple[float, float, str]:
    """Return the range of hardness that practice takes for such a piece, and what decides [Shore A]."""
    if asked.stretch is not None and asked.stretch > DEEP_STRETCH:
        return (*DEEP_A, "for deep undercuts")
    if asked.longest_mm is not None and asked.longest_mm >= LARGE_MM:
        return (*LARGE_A, "for large and flat pieces")
    return (*GENERAL_A, "for most pieces")


def _room(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    if asked.temperature is None:
        return
    room, lowest = asked.temperature, lowest_temperature(rubber)
    margin = fact("Warmer than its lowest curing temperature by", room.value - lowest.value, "K")
    figures = (_figure(rubber, "lowest", "Lowest curing temperature", lowest, lowest.unit, "as stated"),)
    if room.value < lowest.value:
        yield Reason(text="This room is too cold: it may never cure here.", tone="stop", source=lowest.source, figures=figures)
    elif margin.value < NEAR_STALL_K:
        text = "This room is little warmer than it needs: a cold night can stall it."
        yield Reason(text=text, tone="look", source=lowest.source, figures=figures)


def _print_coat(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    if asked.temperature is None or asked.area_m2 is None:
        return
    try:
        pot_life = time_at(rubber, "pot_life_min", asked.temperature)
    except ScienceError:  # too cold or not known: said elsewhere, or nothing to say
        return
    pot_life = pot_life.renamed(key=_key(rubber, "pot_life"), label=pot_life.label)
    usable, mixing = rate(asked.rates, "pot_life_usable_share"), rate(asked.rates, "mix_min")
    brushing = rate(asked.rates, "print_coat_min_per_m2")
    minutes = usable.value * pot_life.value - mixing.value
    if minutes <= 0 or brushing.value <= 0:
        text = "It sets before any of it could be brushed on as a print coat."
        yield Reason(text=text, tone="stop", source=PRACTICE, figures=(pot_life,))
        return
    mixes = Figure(
        key=_key(rubber, "print_mixes"), label="Mixes for the print coat", unit="1",
        value=math.ceil(asked.area_m2 * brushing.value / minutes - 1e-9),
        formula="surface × minutes per area ÷ (usable share × pot life − mixing), rounded up",
        given=(fact("Surface of the piece", asked.area_m2, "m2"), brushing, usable, pot_life, mixing),
    )  # fmt: skip
    if mixes.value > MOST_MIXES_OF_PRINT_COAT:
        text = "Quick for a print coat of this size: many small mixes, or more hands."
        yield Reason(text=text, tone="look", source=PRACTICE, figures=(mixes, pot_life))
    else:
        text = "Its pot life leaves time for the print coat."
        yield Reason(text=text, tone="good", source=PRACTICE, figures=(mixes, pot_life))


def _hardness(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    hardness = rubber.get("hardness_shore_a")
    if hardness is None:
        return
    low, high, what = wanted_hardness(asked)
    figures = (_figure(rubber, "hardness", "Hardness", hardness, "Shore A", f"as stated; {low:g} to {high:g} {what}"),)
    source = Source(kind=SourceKind.COMMON_PRACTICE, text=f"{low:g} to {high:g} Shore A {what}")
    if hardness.value < low - HARDNESS_TOLERANCE_A:
        text = f"Softer than is usual {what}: the blanket wants a thicker wall and finds its seat less well."
        yield Reason(text=text, tone="look", source=source, figures=figures)
    elif hardness.value > high + HARDNESS_TOLERANCE_A:
        text = f"Harder than is usual {what}: it comes off less easily."
        yield Reason(text=text, tone="look", source=source, figures=figures)
    else:
        yield Reason(text=f"Its hardness is what is usual {what}.", tone="good", source=source, figures=figures)


def _stretching(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    if asked.stretch is None or asked.stretch <= 0:
        return
    often, seldom = allowed_stretch(rubber), allowed_stretch(rubber, SELDOM)
    if often is None or seldom is None:
        text = "How far it stretches is not known; add its elongation at break."
        yield Reason(text=text, tone="look", source=PRACTICE)
        return
    wanted = 100 * asked.stretch
    figures = tuple(one.renamed(key=_key(rubber, one.key), label=one.label) for one in (often, seldom))
    source = often.given[1].source
    if wanted > seldom.value:
        text = "It tears before it passes the widest part."
        yield Reason(text=text, tone="stop", source=source, figures=figures)
    elif wanted > often.value:
        text = "It passes the widest part a few times only."
        yield Reason(text=text, tone="look", source=source, figures=figures)
    else:
        text = "It passes the widest part, pull after pull."
        yield Reason(text=text, tone="good", source=source, figures=figures)


def _scrap(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    if asked.scrap is None:
        return
    verdict = scrap_verdict(
        rubber=rubber.chemistry, rubber_family=rubber.family, scrap=asked.scrap.chemistry, scrap_family=asked.scrap.family
    )
    tone = {Outcome.GOOD: "good", Outcome.REFUSED: "stop"}.get(verdict.outcome, "look")
    yield Reason(text=f"Scrap “{asked.scrap.name}”: {verdict.reason} {verdict.advice}", tone=tone, source=verdict.source)


def _life(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    if asked.resin is not None and rubber.chemistry is Chemistry.POLYURETHANE and asked.resin.chemistry in _STICK_TO_POLYURETHANE:
        text = f"{asked.resin.name} bonds to polyurethane that is not released: release the mold for every casting."
        yield Reason(text=text, tone="look", source=PRACTICE)
    expected = None if asked.resin is None else castings_expected(rubber, asked.resin)
    if expected is None or asked.resin is None:
        return
    figures = (_figure(rubber, "life", "Castings from a mold", expected, "1", "as stated or by practice for this resin"),)
    if asked.castings > RUN_SHARE * expected.value:
        text = f"With {asked.resin.name} the run is longer than {RUN_SHARE:g} of what one mold may give."
        yield Reason(text=text, tone="look", source=expected.source, figures=figures)
    else:
        yield Reason(text=f"With {asked.resin.name} it outlives the run.", tone="good", source=expected.source, figures=figures)


def _size(rubber: MaterialSpec, asked: Asked) -> Iterator[Reason]:
    shrinkage = rubber.get("shrinkage_percent")
    if shrinkage is None or asked.longest_mm is None:
        return
    lost = Figure(
        key=_key(rubber, "lost"), label="Shorter over the longest part", value=asked.longest_mm * shrinkage.value / 100,
        unit="mm", formula="longest extent × shrinkage", given=(fact("Longest extent", asked.longest_mm, "mm"), shrinkage),
        low=None if shrinkage.low is None else asked.longest_mm * shrinkage.low / 100,
        high=None if shrinkage.high is None else asked.longest_mm * shrinkage.high / 100,
    )  # fmt: skip
    if shrinkage.value <= STEADY_SHRINKAGE_PERCENT:
        yield Reason(text="It hardly shrinks.", tone="good", source=shrinkage.source, figures=(lost,))
    else:
        text = "It shrinks; castings come out smaller."
        yield Reason(text=text, tone="look", source=shrinkage.source, figures=(lost,))


def _figure(rubber: MaterialSpec, name: str, label: str, given: Given, unit: str, formula: str) -> Figure:
    return Figure(
        key=_key(rubber, name), label=label, value=given.value, unit=unit, formula=formula, given=(given,), low=given.low,
        high=given.high, source=given.source,
    )  # fmt: skip


def _key(rubber: MaterialSpec, name: str) -> str:
    return f"rubber_{rubber.key}_{name}"
