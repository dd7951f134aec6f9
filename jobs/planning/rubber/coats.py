"""Weighing each coat: laid over the piece as the earlier coats have grown it."""

from collections.abc import Sequence
from dataclasses import replace

from jobs.geometry.coats import coat_volume, outer_area, print_coat_volume, textured_area
from jobs.geometry.takeoff import Takeoff
from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate, rubber_loss
from jobs.planning.results import Coat, CoatPlace, CoatRole
from jobs.planning.rubber.cure import gel_by_night
from jobs.planning.rubber.layers import Layer, wall_layers
from jobs.planning.rubber.mix_minutes import mixing_minutes
from jobs.planning.rubber.mixes import mass_of, mix_cap, mixed_from_net, recipe, recipe_density
from jobs.planning.rubber.places import WholeCoat, divide_coat, position_shares
from jobs.planning.sums import total
from materials.science.windows import RecoatWindow, recoat_window
from studio.figures import Figure

RATE_OF_ROLE = {
    CoatRole.PRINT: "print_coat_min_per_m2",
    CoatRole.BUILD: "build_coat_min_per_m2",
    CoatRole.CLOSING: "closing_coat_min_per_m2",
}


def plan_coats(brief: PlanBrief) -> tuple[Coat, ...]:
    """Plan every coat of the blanket, print coat first."""
    window, shares = recoat_window(brief.rubber, brief.temperature_c), position_shares(brief)
    by_night = gel_by_night(brief)
    return tuple(_coat(brief, layer, window, by_night, shares) for layer in wall_layers(brief))


def _coat(brief: PlanBrief, layer: Layer, window: RecoatWindow, by_night: Figure | None, shares: Sequence[Figure]) -> Coat:
    name = f"coat_{layer.number}"
    thickened = brief.thickener is not None and (layer.role is not CoatRole.PRINT or brief.thicken_print_coat)
    tinted = brief.tint is not None and layer.number % 2 == 1
    made = recipe(brief.rubber, thickener=brief.thickener if thickened else None, tint=brief.tint if tinted else None)
    area, volume = layer_area(brief.takeoff, layer), layer_volume(brief.takeoff, layer)
    density = recipe_density(made)
    net = mass_of(volume, density, key=f"{name}_net_mass", label="Mass on the piece")
    loss = rubber_loss(brief.rates, brief.takeoff.area.value)
    mixed = mixed_from_net(net, loss, key=f"{name}_mixed_mass", label=f"{layer.role.label} {layer.number}, mass to mix")
    brushing = rate(brief.rates, RATE_OF_ROLE[layer.role])
    cap = mix_cap(
        brief,
        mass_each=_areal_mass(net, area, name),
        minutes_each=brushing,
        words=("mass per area", "minutes per area"),
        prefix=name,
        mixing=mixing_minutes(brief, thickened=thickened, prefix=name),
    )
    if brief.people_per_coat > 1:
        cap = replace(cap, note=f"Each of {brief.people_per_coat} people brushes from a cup of their own. {cap.note}")
    whole = WholeCoat(name=name, area=area, net=net, mixed=mixed, cap=cap, made=made, brushing=brushing)
    places = divide_coat(brief, whole, shares)
    return Coat(
        number=layer.number,
        role=layer.role,
        thickness=layer.thickness,
        area=area,
        volume=volume,
        net_mass=net,
        mixed_mass=mixed,
        mix_cap=cap,
        mixes=tuple(mix for place in places for mix in place.mixes),
        minutes=_all_minutes(places, name),
        thickened=thickened,
        tinted=tinted,
        earliest_next=window.earliest.renamed(key=f"{name}_earliest_next", label="Earliest next coat"),
        latest_next=window.latest.renamed(key=f"{name}_latest_next", label="Latest next coat"),
        # A thin print coat tears and gathers dust when it is left alone.
        leave_overnight=window.leave_overnight and layer.role is not CoatRole.PRINT,
        earliest_by_night=(None if by_night is None else by_night.renamed(key=f"{name}_earliest_by_night", label=by_night.label)),
        places=places,
    )


def _all_minutes(places: tuple[CoatPlace, ...], name: str) -> Figure:
    minutes = total(f"{name}_minutes", "Hands-on minutes", "min", [place.minutes for place in places],
                    formula="minutes at all positions, added")  # fmt: skip
    # With one position its own working says more than a sum of one.
    return minutes if len(places) > 1 else replace(places[0].minutes, key=minutes.key, label=minutes.label)


def layer_area(takeoff: Takeoff, layer: Layer) -> Figure:
    """Compute the surface a coat is brushed onto: outside of the coats below, flange included [m2]."""
    if layer.role is CoatRole.PRINT:
        area = total(
            "brushed", "Surface to brush", "m2", (textured_area(takeoff), takeoff.flange_area),
            formula="surface with its texture + flange",
        )  # fmt: skip
    else:
        area = outer_area(takeoff, layer.under_mm)
    return area.renamed(key=f"coat_{layer.number}_area", label="Surface to brush")


def layer_volume(takeoff: Takeoff, layer: Layer) -> Figure:
    """Compute the rubber of one coat: all coats up to it less all coats below it [L]."""
    if layer.role is CoatRole.PRINT:
        parts: tuple[Figure, ...] = (print_coat_volume(takeoff, layer.thickness.value),)
        formula = "print coat with texture and flange"
    else:
        parts = (coat_volume(takeoff, layer.outside_mm), coat_volume(takeoff, layer.under_mm))
        formula = "V(wall with this coat) − V(wall below it)"
    outside, under = parts[0], parts[1] if len(parts) == 2 else None
    value = outside.value - (under.value if under else 0.0)
    return Figure(
        key=f"coat_{layer.number}_volume",
        label="Rubber in this coat",
        value=value * 1000,
        unit="L",
        formula=formula,
        given=parts,
        low=_difference(outside.low, under.low if under else None, value),
        high=_difference(outside.high, under.high if under else None, value),
        note=outside.note,
    )


def _difference(outside: float | None, under: float | None, value: float) -> float:
    return 1000 * (value if outside is None else outside - (under or 0.0))


def _areal_mass(net: Figure, area: Figure, name: str) -> Figure:
    return Figure(
        key=f"{name}_areal_mass",
        label="Mass per area",
        value=net.value / area.value,
        unit="g/m2",
        formula="mass on the piece ÷ surface",
        given=(net, area),
    )
