"""What size a casting comes out, by how much the piece must be larger, and what a warm room costs."""

from dataclasses import replace

from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.rates import rate
from jobs.planning.sums import fact
from materials.science.material import MaterialSpec
from materials.science.shrinkage import cast_length_mm, oversize_factor, usual_shrinkage
from materials.science.thermal import VOLUME_PER_K, warm_cure_loss_mm
from materials.science.windows import SILICONES
from studio.figures import Figure, Given, high_end

# A smaller difference is less than a room's own swing in a day.
LEAST_STEP_K = 1.0


def shrinkages(brief: PlanBrief, casting: CastingBrief) -> tuple[Given, Given] | None:
    """Return the shrinkage of rubber and resin, their own or the usual of their kind; None where one is not told [%]."""
    rubber, resin = _shrinkage(brief.rubber), _shrinkage(casting.resin)
    return None if rubber is None or resin is None else (rubber, resin)


def longest_side(brief: PlanBrief) -> Given:
    """Return the longest side of the piece [mm]."""
    return fact("Longest side of the piece", max(brief.takeoff.box_mm), "mm", brief.takeoff.volume.source)


def size(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    """Compute the longest side of a casting, small end first; None where a shrinkage is not told [mm]."""
    found = shrinkages(brief, casting)
    if found is None:
        return None
    rubber, resin = found
    longest = longest_side(brief)
    warm = warm_loss(brief)
    least = cast_length_mm(piece_length_mm=longest.value, mold_percent=high_end(rubber), resin_percent=high_end(resin))
    return Figure(
        key="casting_size",
        label="Longest side of a casting",
        value=cast_length_mm(piece_length_mm=longest.value, mold_percent=rubber.value, resin_percent=resin.value),
        unit="mm",
        formula="length × (1 − rubber's shrinkage) × (1 − resin's shrinkage)",
        given=(longest, rubber, resin),
        low=least - (0.0 if warm is None or warm.high is None else warm.high),
        high=longest.value,
        note="The shell holds the rubber partly at size, so it may come out a little larger.",
    )


def oversize(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    """Compute by how much the piece must be larger for castings at size; None where a shrinkage is not told [%]."""
    found = shrinkages(brief, casting)
    if found is None:
        return None
    rubber, resin = found
    return Figure(
        key="casting_oversize",
        label="For castings at size, make the piece larger by",
        value=100 * (oversize_factor(mold_percent=rubber.value, resin_percent=resin.value) - 1),
        unit="%",
        formula="1 ÷ ((1 − rubber's shrinkage) × (1 − resin's shrinkage)) − 1",
        given=(rubber, resin),
    )


def warm_loss(brief: PlanBrief) -> Figure | None:
    """Compute what is lost of the longest side by curing silicone in a room warmer than use; None where it is not [mm]."""
    use = rate(brief.rates, "use_temp_c")
    if brief.rubber.chemistry not in SILICONES or brief.temperature_c.value - use.value < LEAST_STEP_K:
        return None
    longest = longest_side(brief)
    low, high = warm_cure_loss_mm(length_mm=longest.value, cure_c=brief.temperature_c.value, use_c=use.value)
    return Figure(
        key="warm_loss",
        label="Lost by curing warm",
        value=(low + high) / 2,
        unit="mm",
        formula="length × a third of the rubber's expansion by volume × (room − use)",
        given=(longest, VOLUME_PER_K, brief.temperature_c, use),
        low=low,
        high=high,
        source=VOLUME_PER_K.source,
        note="Of free rubber; a shell holds it partly at size.",
    )


def _shrinkage(spec: MaterialSpec) -> Given | None:
    found = spec.get("shrinkage_percent") or usual_shrinkage(spec.kind, spec.chemistry)
    return None if found is None else replace(found, label=f"Shrinkage of {spec.name}")
