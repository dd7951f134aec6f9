"""The parting strip: cast in a strip mold, cured, then glued and pinned on where the shell pieces meet."""

import math

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate, rubber_loss
from jobs.planning.results import Mix, StripPlan
from jobs.planning.rubber.cure import full_cure
from jobs.planning.rubber.mixes import Recipe, mix_cap, mixed_from_net, recipe, recipe_density, split_into_mixes
from jobs.planning.shape import lengths
from jobs.planning.sums import count, total
from studio.figures import Figure, Given, Source, SourceKind

_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE, text="a flat strip, wide enough to glue and pin")
USUAL_WIDTH = Given(label="Width of the parting strip", value=20.0, unit="mm", low=12.0, high=30.0, source=_PRACTICE)
USUAL_HEIGHT = Given(label="Height of the parting strip", value=8.0, unit="mm", low=5.0, high=15.0, source=_PRACTICE)
LARGEST_MM = 200.0


def plan_strip(brief: PlanBrief) -> StripPlan | None:
    """Plan the parting strip of a brushed blanket, or return None where no shell pieces meet.

    Notes
    -----
    Mass = length × width × height × density of the plain rubber; the rubber that glues it is a bed of its own. Widths, heights,
    beds and pins are common practice without a source: a width or height that is typed replaces them.

    Raises
    ------
    BadBrief
        When a width or a height is impossible.
    """
    told = brief.seam_length_m
    if told is None or told.value <= 0 or brief.shell is None or brief.making is not Making.BRUSHED:
        return None
    length = Figure(key="strip_length", label="Length of the parting strip", value=told.value, unit="m",
                    formula="the parting", given=(told,))  # fmt: skip
    width = _side("strip_width", brief.strip_width_mm or USUAL_WIDTH)
    height = _side("strip_height", brief.strip_height_mm or USUAL_HEIGHT)
    made = recipe(brief.rubber)
    density = recipe_density(made)
    net = _mass("strip_net_mass", "Rubber in the parting strip", (length, width, height), density)
    bed = rate(brief.rates, "strip_glue_mm")
    glue = _mass("strip_glue_mass", "Fresh rubber that glues the strip", (length, width, bed), density)
    cast, glued = _mixes(brief, net, made, length, "strip"), _mixes(brief, glue, made, length, "strip_glue")
    return StripPlan(
        length=length,
        width=width,
        height=height,
        net_mass=net,
        mixed_mass=cast[0],
        mixes=cast[1],
        glue_mass=glue,
        glue_mixed=glued[0],
        glue_mixes=glued[1],
        pins=_pins(brief, length),
        cure=full_cure(brief, key="strip_cure", label="The strip cures before it is used"),
    )


def strip_rubber(strip: StripPlan) -> tuple[Figure, Figure, tuple[Mix, ...]]:
    """Return all rubber of the strip with its glue: net and mixed [g], and the mixes."""
    net = [strip.net_mass, *([] if strip.glue_mass is None else [strip.glue_mass])]
    mixed = [strip.mixed_mass, *([] if strip.glue_mixed is None else [strip.glue_mixed])]
    return (
        total("strip_all_net", "Rubber in the parting strip and its glue", "g", net),
        total("strip_all_mixed", "Rubber to mix for the parting strip and its glue", "g", mixed),
        (*strip.mixes, *strip.glue_mixes),
    )


def _side(key: str, given: Given) -> Figure:
    if not 0 < given.value <= LARGEST_MM:
        raise BadBrief(f"The width and the height of the parting strip must be more than nought, up to {lengths(LARGEST_MM)}.")
    formula = "as usual" if given.source is _PRACTICE else "as decided"
    return Figure(key=key, label=given.label, value=given.value, unit="mm", formula=formula, given=(given,),
                  low=given.low, high=given.high)  # fmt: skip


def _mass(key: str, label: str, sides: tuple[Figure, Figure, Figure | Given], density: Figure) -> Figure:
    length, width, height = sides
    # m × mm × mm is cm³.
    return Figure(
        key=key, label=label, value=length.value * width.value * height.value * density.value / 1000, unit="g",
        formula="length × width × height × density", given=(*sides, density),
    )  # fmt: skip


def _mixes(brief: PlanBrief, net: Figure, made: Recipe, length: Figure, prefix: str) -> tuple[Figure, tuple[Mix, ...]]:
    """Split the rubber so that each cup is poured or spread inside its pot life; minutes go by the length."""
    per_metre = Figure(key=f"{prefix}_mass_per_m", label="Mass per metre", value=net.value / length.value, unit="g/m",
                       formula="mass ÷ length", given=(net, length))  # fmt: skip
    by_length = rate(brief.rates, "strip_pour_min_per_m" if prefix == "strip" else "parting_strip_min_per_m")
    words = ("mass per metre", "minutes per metre")
    cap = mix_cap(brief, mass_each=per_metre, minutes_each=by_length, words=words, prefix=prefix)
    loss = rubber_loss(brief.rates, brief.takeoff.area.value)
    label = "Rubber to mix for the strip" if prefix == "strip" else "Rubber to mix for its glue"
    mixed = mixed_from_net(net, loss, key=f"{prefix}_mixed_mass", label=label)
    return mixed, split_into_mixes(mixed=mixed, net=net, cap=cap, made=made, prefix=prefix)


def _pins(brief: PlanBrief, length: Figure) -> Figure:
    spacing = rate(brief.rates, "strip_pin_spacing_mm")
    if spacing.value <= 0:
        raise BadBrief(f"The rate “{spacing.label}” must be more than nought; correct it under Studio, Rates of work.")
    wanted = math.ceil(1000 * length.value / spacing.value - 1e-9) + 1
    return count("strip_pins", "Pins or brads", wanted, formula="length ÷ spacing, rounded up, and one at the end",
                 given=(length, spacing))  # fmt: skip
