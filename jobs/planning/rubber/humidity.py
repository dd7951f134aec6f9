"""What the moisture of the room's air does to this plan's rubber and resin."""

from collections.abc import Iterator, Sequence

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.results import Coat
from materials.properties import Chemistry, MixBasis
from materials.science.errors import BadMoisture
from materials.science.moisture import (
    DRY_AIR,
    FRONT_FAST,
    FRONT_SLOW,
    STATED_HUMIDITY_PERCENT,
    depth_share,
    dry_air_slows,
    front_days,
    vapour_pressure_pa,
)
from studio.figures import Figure, Given, Remark, Source, SourceKind

DAMP_AIR = Given(
    label="Air damper than this",
    value=70.0,
    unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="where polyurethane is known to foam"),
)
USUAL_AIR = Given(
    label="Humidity of the room",
    value=STATED_HUMIDITY_PERCENT,
    unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="not given: type the room's own on the Mold page"),
)


def humidity_remarks(brief: PlanBrief, coats: Sequence[Coat]) -> Iterator[Remark]:
    """Look at rubber that cures with the air's moisture, at dry air over tin silicone, and at damp air over polyurethane.

    Raises
    ------
    BadMoisture
        When the humidity is not a share of 0 to 100 %.
    """
    rubber, air = brief.rubber, brief.humidity_percent
    one_part = rubber.chemistry is Chemistry.TIN_SILICONE and rubber.mix_basis is MixBasis.ONE_PART
    if one_part:
        yield _of_front(brief, coats)
    if air is None:
        return
    vapour_pressure_pa(temperature_c=brief.temperature_c.value, humidity_percent=air.value)
    if not one_part and dry_air_slows(rubber, air.value):
        text = (
            f"In air drier than {DRY_AIR.value:g} % tin silicone cures more slowly than stated: judge it by a cup left beside it."
        )
        yield Remark(key="air_dry", text=text)
    if air.value < DAMP_AIR.value:
        return
    if rubber.chemistry is Chemistry.TIN_SILICONE and not one_part:
        text = "In damp air tin silicone skins while its inside is still soft: do not open it by the feel of its skin."
        yield Remark(key="air_damp", text=text)
    urethanes = [rubber.name] if rubber.chemistry is Chemistry.POLYURETHANE else []
    if brief.casting is not None and brief.casting.resin.chemistry is Chemistry.POLYURETHANE:
        urethanes.append(brief.casting.resin.name)
    if urethanes:
        text = (
            f"Damp air makes polyurethane foam ({', '.join(urethanes)}): dry the mold, close containers at once, try a cup first."
        )
        yield Remark(key="air_foams", text=text)


def _of_front(brief: PlanBrief, coats: Sequence[Coat]) -> Remark:
    if brief.making is not Making.BRUSHED:
        text = (
            "A one-part rubber cures from its open side alone: poured under a shell or in a box it stays soft. "
            "Brush it, or take one of two parts."
        )
        return Remark(key="front", text=text, tone="stop")
    thickest = max((coat.thickness for coat in coats), key=lambda thickness: thickness.value)
    try:
        days = _days(brief, thickest)
    except BadMoisture as refusal:
        return Remark(key="front", text=str(refusal), tone="stop", figures=(thickest,))
    text = (
        "This rubber cures from its open side inward: let each coat cure through before the next. "
        "Twice as thick takes four times as long."
    )
    return Remark(key="front", text=text, figures=(days, thickest))


def _days(brief: PlanBrief, thickest: Figure) -> Figure:
    air = brief.humidity_percent or USUAL_AIR
    share = depth_share(temperature_c=brief.temperature_c.value, humidity_percent=air.value)
    if share == 0:
        raise BadMoisture("In air without any moisture a one-part rubber never cures; make the room damper.")
    slow, fast = (front_days(speed=speed.value * share, depth_mm=thickest.value) for speed in (FRONT_SLOW, FRONT_FAST))
    return Figure(
        key="front_days",
        label="The thickest coat has cured through in",
        value=slow,
        unit="day",
        formula="(thickness ÷ (depth after the first day × √(moisture of this air ÷ moisture of the stated air)))²",
        given=(thickest, FRONT_SLOW, FRONT_FAST, air, brief.temperature_c),
        low=fast,
        high=slow,
        source=Source(kind=SourceKind.PUBLISHED, text="J. Comyn 1998: the front moves as water passes through what has cured"),
    )
