"""One pour in place of coats: what is poured, split into mixes that leave the bucket inside their pot life."""

from dataclasses import dataclass, replace
from functools import partial

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import Coat, CoatPlace, CoatRole, FillPlan
from jobs.planning.rubber.cure import full_cure
from jobs.planning.rubber.fill import scrap_l, scrap_taken
from jobs.planning.rubber.mix_minutes import mixing_minutes
from jobs.planning.rubber.mixes import (
    PER_LITRE,
    Recipe,
    mass_of,
    mix_cap,
    mixed_from_net,
    recipe,
    recipe_density,
    split_into_mixes,
)
from jobs.planning.rubber.places import numbered, place_minutes, position_shares
from jobs.planning.sums import scaled, total
from studio.figures import Figure, high_end, low_end

POURS = frozenset({Making.POURED, Making.BLOCK})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Whole:
    """A pour before it is divided by position."""

    area: Figure
    volume: Figure
    net: Figure
    mixed: Figure
    cap: Figure
    made: Recipe


def is_poured(brief: PlanBrief) -> bool:
    """Say whether the rubber is poured and not brushed."""
    return brief.making in POURS


def pour_coat(brief: PlanBrief, *, volume: Figure, thickness: Figure, area: Figure) -> Coat:
    """Plan one pour of unthickened rubber as the only coat.

    Parameters
    ----------
    brief : PlanBrief
        Rubber, temperature, rates, positions (each is poured by itself and cures before the next).
    volume : Figure
        Rubber that is poured, scrap left out. [L]
    thickness : Figure
        Rubber over the face, as the section shows it. [mm]
    area : Figure
        Surface that the rubber meets. [m2]

    Raises
    ------
    BadBrief
        When nothing is left to pour, or pouring takes longer than any pot life.
    """
    if volume.value <= 0:
        raise BadBrief("Nothing is left to pour; give less scrap or more room round the piece.")
    # Rubber alone: thickened rubber does not flow into a gap.
    made = recipe(brief.rubber)
    density = recipe_density(made)
    net = mass_of(volume, density, key="coat_1_net_mass", label="Mass in the mold")
    mixed = mixed_from_net(net, rate(brief.rates, "pour_loss_percent"), key="coat_1_mixed_mass", label="Mass to mix")
    cap = _cap(brief, net, volume)
    whole = _Whole(area=area, volume=volume, net=net, mixed=mixed, cap=cap, made=made)
    places = numbered(position_shares(brief), partial(_place, brief, whole))
    return Coat(
        number=1,
        role=CoatRole.POUR,
        thickness=thickness,
        area=area,
        volume=volume,
        net_mass=net,
        mixed_mass=mixed,
        mix_cap=cap,
        mixes=tuple(mix for place in places for mix in place.mixes),
        minutes=total("coat_1_minutes", "Hands-on minutes", "min", [place.minutes for place in places],
                      formula="minutes at all positions, added"),
        thickened=False,
        tinted=False,
        # What a pour stands on is turned only when it has cured, nights counted.
        earliest_next=full_cure(brief, key="coat_1_earliest_next", label="Pour has cured"),
        latest_next=None,
        leave_overnight=True,
        places=places,
    )  # fmt: skip


def seated_scrap(brief: PlanBrief, *, volume: Figure, room: Figure | None) -> FillPlan | None:
    """Plan the scrap that is seated before a pour, or return None when none is; the rubber round it is poured along.

    `volume` [L] is what the share of scrap counts on, `room` [g] what finds room there, None where that is not known.
    """
    wished, used = scrap_taken(brief, volume, room)
    if brief.scrap is None or used.value <= 0:
        return None
    seating, setup = rate(brief.rates, "scrap_seat_min_per_kg"), rate(brief.rates, "step_min")
    nothing = Figure(key="fill_net_mass", label="Fresh rubber in the fill", value=0.0, unit="g", formula="poured along")
    return FillPlan(
        volume=volume,
        scrap_mass=used,
        scrap_wished=wished,
        scrap_room=room,
        fresh_volume=Figure(
            key="fill_fresh_volume", label="Fresh rubber poured round the scrap", unit="L",
            value=volume.value - scrap_l(brief, used), formula="fill − scrap ÷ its density",
            given=(volume, used, brief.scrap.density_kg_m3),
        ),
        net_mass=nothing,
        mixed_mass=nothing.renamed(key="fill_mixed_mass", label="Fresh rubber to mix for the fill"),
        mixes=(),
        minutes=Figure(
            key="fill_minutes", label="Seating the scrap", value=used.value / 1000 * seating.value + setup.value, unit="min",
            formula="scrap × minutes per mass + setting out", given=(used, seating, setup),
            low=used.value / 1000 * low_end(seating) + low_end(setup),
            high=used.value / 1000 * high_end(seating) + high_end(setup),
        ),
    )  # fmt: skip


def without_scrap(whole: Figure, fill: FillPlan | None, brief: PlanBrief, *, formula: str) -> Figure:
    """Take the scrap that is seated out of what is poured [L]."""
    if fill is None or brief.scrap is None:
        return whole
    taken = scrap_l(brief, fill.scrap_mass)
    return Figure(
        key="coat_1_volume", label="Rubber in this pour", value=whole.value - taken, unit="L", formula=formula,
        given=(*whole.given, fill.scrap_mass, brief.scrap.density_kg_m3),
        low=None if whole.low is None else max(whole.low - taken, 0.0),
        high=None if whole.high is None else whole.high - taken,
        note=whole.note,
    )  # fmt: skip


def _cap(brief: PlanBrief, net: Figure, volume: Figure) -> Figure:
    """Compute the largest mix that one person empties inside its pot life [g]."""
    per_litre = Figure(
        key="coat_1_mass_per_l", label="Mass per litre", value=net.value / volume.value, unit="g/L",
        formula="mass ÷ volume", given=(net, volume),
    )  # fmt: skip
    cap = mix_cap(
        brief,
        mass_each=per_litre,
        minutes_each=rate(brief.rates, "pour_min_per_l"),
        words=PER_LITRE,
        prefix="coat_1",
        mixing=mixing_minutes(brief, thickened=False, prefix="coat_1"),
    )
    bucket = rate(brief.rates, "pour_bucket_kg")
    return replace(
        cap,
        value=min(cap.value, 1000 * bucket.value),
        formula=f"{cap.formula}, but no more than one bucket",
        given=(*cap.given, bucket),
        note="One person mixes and pours; the next mix is ready when this one is in, so that the pour does not stop.",
    )


def _place(brief: PlanBrief, whole: _Whole, share: Figure, position: int, before: int) -> CoatPlace:
    name = f"coat_1_position_{position}"

    def part(figure: Figure, key: str, label: str) -> Figure:
        return scaled(figure, share.value, key=f"{name}_{key}", label=label, unit=figure.unit,
                      formula="of the whole pour × share of this position", given=(share,))  # fmt: skip

    net, mixed = part(whole.net, "net_mass", "Mass in the mold"), part(whole.mixed, "mixed_mass", "Mass to mix")
    mixes = split_into_mixes(
        mixed=mixed, net=net, cap=whole.cap, made=whole.made, prefix="coat_1", position=position, before=before
    )
    volume = part(whole.volume, "volume", "Rubber poured here")
    return CoatPlace(
        position=position,
        area=part(whole.area, "area", "Surface that the rubber meets"),
        net_mass=net,
        mixed_mass=mixed,
        mixes=mixes,
        minutes=place_minutes(
            brief,
            worked=volume,
            each=rate(brief.rates, "pour_min_per_l"),
            mixes=len(mixes),
            thickened=False,
            name=name,
            formula="volume × minutes per volume",
        ),
    )
