"""The fill: fresh rubber and scrap in the hollows of the blanket's outside."""

from dataclasses import replace

from jobs.planning.brief import Making, PlanBrief, ScrapSpec
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate, rubber_loss
from jobs.planning.results import FillPlan, Mix
from jobs.planning.rubber.mixes import PER_LITRE, mix_cap, mixed_from_net, recipe, recipe_density, split_into_mixes
from jobs.planning.sums import count
from materials.science.packing import scrap_volume
from studio.figures import Figure, Given, SourceKind, high_end, low_end


def plan_fill(brief: PlanBrief) -> FillPlan | None:
    """Plan the fill, or return None when nothing is filled; scrap is used as far as it is at hand."""
    if brief.fill_volume_l is None or brief.fill_volume_l.value == 0:
        return None
    if brief.fill_volume_l.value < 0:
        raise BadBrief("The volume of the fill cannot be less than nought.")
    told = brief.fill_volume_l
    volume = Figure(
        key="fill_volume", label="Fill", value=told.value, unit="L", given=(told,), low=told.low, high=told.high,
        formula="as computed from the shape" if is_from_shape(told) else "as typed",
    )  # fmt: skip
    room = scrap_room(brief)
    wished, used = scrap_taken(brief, volume, room)
    fresh = _fresh(brief, volume, used)
    made = recipe(brief.rubber, thickener=brief.thickener)
    density = recipe_density(made)
    net = Figure(
        key="fill_net_mass", label="Fresh rubber in the fill", value=fresh.value * density.value, unit="g",
        formula="fresh volume × density", given=(fresh, density),
    )  # fmt: skip
    loss = rubber_loss(brief.rates, brief.takeoff.area.value)
    mixed = mixed_from_net(net, loss, key="fill_mixed_mass", label="Fresh rubber to mix for the fill")
    mixes = _mixes(brief, fresh, used, net, mixed)
    return FillPlan(
        volume=volume,
        scrap_mass=used,
        scrap_wished=wished,
        scrap_room=room,
        fresh_volume=fresh,
        net_mass=net,
        mixed_mass=mixed,
        mixes=mixes,
        minutes=_minutes(brief, volume, used, len(mixes)),
    )


def scrap_taken(brief: PlanBrief, volume: Figure, room: Figure | None) -> tuple[Figure, Figure]:
    """Return the scrap wished for and the scrap used of a volume [L]; `room` is what finds place there, where known [g]."""
    scrap, share, packing = brief.scrap, brief.scrap_share_percent, brief.packing_fraction
    if scrap is None or share is None or share.value == 0:
        none = Figure(key="fill_scrap_wished", label="Scrap wished for", value=0.0, unit="g", formula="no scrap is used")
        return none, none.renamed(key="fill_scrap_mass", label="Scrap used")
    if packing is None:
        raise BadBrief("Say how tightly the chunks of scrap are packed: about 0.5 tipped in, 0.65 placed by hand.")
    chunks_l = scrap_volume(cavity_volume=volume.value, scrap_share=share.value / 100, packing_fraction=packing.value)
    wished = Figure(
        key="fill_scrap_wished",
        label="Scrap wished for",
        value=chunks_l * _density(scrap),
        unit="g",
        formula="fill × share of scrap × packing × density of the scrap",
        given=(volume, share, packing, scrap.density_kg_m3),
    )
    used = Figure(
        key="fill_scrap_mass",
        label="Scrap used",
        value=min(wished.value, max(scrap.available_g.value, 0.0), *(() if room is None else (room.value,))),
        unit="g",
        formula="the smallest of wished for, at hand and what finds room" if room else "the smaller of wished for and at hand",
        given=(wished, scrap.available_g, *(() if room is None else (room,))),
    )
    return wished, used


def scrap_room(brief: PlanBrief) -> Figure | None:
    """Return what the fill can hold of the scrap [g], where the fill and its room were found on the shape."""
    shape, scrap, packing, fill = brief.shape, brief.scrap, brief.packing_fraction, brief.fill_volume_l
    if shape is None or shape.room_l is None or scrap is None or packing is None or fill is None or not is_from_shape(fill):
        return None
    return Figure(
        key="fill_scrap_room",
        label="Scrap that finds room",
        value=shape.room_l.value * packing.value * _density(scrap),
        unit="g",
        formula="room where chunks keep their cover × packing × density of the scrap",
        given=(shape.room_l, scrap.chunk_edge_mm, packing, scrap.density_kg_m3),
    )


def takes_scrap(brief: PlanBrief) -> bool:
    """Say whether a plan wants scrap: a bin, a share of it, and room that it may lie in."""
    share = brief.scrap_share_percent
    return brief.scrap is not None and share is not None and share.value > 0 and may_hold_scrap(brief)


def may_hold_scrap(brief: PlanBrief) -> bool:
    """Say whether there is a fill for scrap; a block holds some in the corners of its box."""
    return brief.making is Making.BLOCK or (brief.fill_volume_l is not None and brief.fill_volume_l.value > 0)


def is_from_shape(given: Given) -> bool:
    """Say whether an input was computed and not typed."""
    return given.source.kind is SourceKind.COMPUTED


def _density(scrap: ScrapSpec) -> float:
    if scrap.density_kg_m3.value <= 0:
        raise BadBrief(f"The density of the scrap “{scrap.name}” must be more than nought.")
    return scrap.density_kg_m3.value


def _fresh(brief: PlanBrief, volume: Figure, used: Figure) -> Figure:
    density: tuple[Given, ...] = () if brief.scrap is None else (brief.scrap.density_kg_m3,)
    return Figure(
        key="fill_fresh_volume",
        label="Fresh rubber around the scrap",
        value=volume.value - scrap_l(brief, used),
        unit="L",
        formula="fill − scrap ÷ its density",
        given=(volume, used, *density),
    )


def _mixes(brief: PlanBrief, fresh: Figure, used: Figure, net: Figure, mixed: Figure) -> tuple[Mix, ...]:
    """Split the fill as the coats are split, with minutes per litre in place of minutes per m²."""
    placing, seating = rate(brief.rates, "fill_min_per_l"), rate(brief.rates, "scrap_seat_min_per_kg")
    minutes = placing.value * (fresh.value + scrap_l(brief, used)) + seating.value * used.value / 1000
    per_litre = replace(placing, label="Minutes per litre of fresh rubber, chunks seated", value=minutes / fresh.value)
    per_litre_mass = Figure(
        key="fill_mass_per_l", label="Mass per litre", value=net.value / fresh.value, unit="g/L",
        formula="fresh mass ÷ fresh volume", given=(net, fresh),
    )  # fmt: skip
    cap = mix_cap(brief, mass_each=per_litre_mass, minutes_each=per_litre, words=PER_LITRE, prefix="fill")
    made = recipe(brief.rubber, thickener=brief.thickener)
    return split_into_mixes(mixed=mixed, net=net, cap=cap, made=made, prefix="fill")


def scrap_l(brief: PlanBrief, used: Figure) -> float:
    """Return the room that scrap of some mass takes by its density [L]."""
    return 0.0 if brief.scrap is None else used.value / _density(brief.scrap)


def _minutes(brief: PlanBrief, volume: Figure, used: Figure, mixes: int) -> Figure:
    placing, handling = rate(brief.rates, "fill_min_per_l"), rate(brief.rates, "mix_handling_min")
    seating = rate(brief.rates, "scrap_seat_min_per_kg")
    return Figure(
        key="fill_minutes",
        label="Placing the fill",
        value=volume.value * placing.value + used.value / 1000 * seating.value + mixes * handling.value,
        unit="min",
        formula="fresh rubber × minutes per volume + scrap × minutes per mass + mixes × minutes per mix",
        given=(
            volume, placing, used, seating,
            count("fill_mixes", "Mixes", mixes, formula="mass ÷ largest mix, rounded up"), handling,
        ),
        low=volume.value * low_end(placing) + used.value / 1000 * low_end(seating) + mixes * low_end(handling),
        high=volume.value * high_end(placing) + used.value / 1000 * high_end(seating) + mixes * high_end(handling),
    )  # fmt: skip
