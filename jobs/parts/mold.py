"""What the Mold page tells of a plan below its form: wall, air, seat, fill, strip, gauge blocks, stretch."""

from jobs.mixing_table import fill_table, keys_table, strip_table
from jobs.parts.part import PlanPart, part, said
from jobs.planning.pours.results import BoxPlan, ClayPlan
from jobs.planning.results import AirPlan, FillPlan, GaugePlan, MoldPlan, StandPlan, StripPlan, WallAdvice


def mold_parts(made: MoldPlan) -> tuple[PlanPart, ...]:
    """Return the parts of the Mold page, in the order in which they are decided."""
    return said(
        (
            _wall(made.wall_advice),
            _clay(made.clay),
            _box(made.box),
            _air(made.air),
            _stand(made.stand, made),
            _fill(made.fill, made),
            _strip(made.strip, made),
            _gauges(made.gauges),
            part("stretch", "Pulling off", (made.stretch,)),
        )
    )


def _wall(advice: WallAdvice | None) -> PlanPart | None:
    if advice is None:
        return None
    return part("wall", "Wall", (advice.advised, advice.mean), reasons=(*advice.reasons, *advice.thicker_at))


def _clay(clay: ClayPlan | None) -> PlanPart | None:
    if clay is None:
        return None
    words = ("The clay keeps the place of the rubber while the shell is built over it; it is taken out before the pour.",)
    return part("clay", "Clay", (clay.area, clay.wall, clay.volume, clay.minutes, clay.minutes_out), words=words)


def _box(box: BoxPlan | None) -> PlanPart | None:
    if box is None:
        return None
    words = ("The sizes are those of its inside. Seal the joints: thin rubber finds every gap.",)
    figures = (box.length, box.width, box.height, box.margin, box.volume, box.boards, box.minutes, box.block_mass)
    return part("box", "Box", figures, words=words)


def _air(air: AirPlan | None) -> PlanPart | None:
    if air is None:
        return None
    taken = f"Taken: {air.way.label.lower()}."
    other = "" if air.way is air.suggested else f"Suggested: {air.suggested.label.lower()}."
    figures = (air.smallest_leaving, air.clears, air.foam, air.container, air.minutes)
    return part("air", "Air", figures, words=(taken, other), reasons=air.reasons)


def _stand(stand: StandPlan | None, made: MoldPlan) -> PlanPart | None:
    if stand is None:
        return None
    figures = (
        stand.tallest, stand.freestanding, stand.keys, stand.key_spacing, stand.key_mixed, stand.ribs, stand.rib_height,
        stand.widest_gap,
    )  # fmt: skip
    return part("stand", "How the blanket finds its seat", figures, mixes=keys_table(made), caption="Cups of the keys")


def _fill(fill: FillPlan | None, made: MoldPlan) -> PlanPart | None:
    if fill is None:
        return None
    figures = (fill.volume, fill.scrap_wished, fill.scrap_mass, fill.scrap_room, fill.fresh_volume, fill.mixed_mass)
    return part("fill", "Fill", figures, mixes=fill_table(made), caption="Cups of the fill")


def _strip(strip: StripPlan | None, made: MoldPlan) -> PlanPart | None:
    if strip is None:
        return None
    figures = (
        strip.length,
        strip.width,
        strip.height,
        strip.net_mass,
        strip.mixed_mass,
        strip.glue_mixed,
        strip.pins,
        strip.cure,
    )
    return part("strip", "Parting strip", figures, mixes=strip_table(made), caption="Cups of the strip")


def _gauges(gauges: GaugePlan | None) -> PlanPart | None:
    if gauges is None:
        return None
    spots = ", ".join(f"{number} {where}" for where, number in gauges.spots if number)
    words = (f"Where to bury them: {spots}." if spots else "",)
    return part("gauges", "Gauge blocks", (gauges.count, gauges.height, gauges.mass), words=words)
