"""A pool of stock that is costed as one: one part of one material over all its lots, or one bin of scrap."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from materials.valuing.layers import Layer, take, value_of
from materials.valuing.money import NOTHING, part_of, per_kg, worth


class Method(StrEnum):
    """How what goes out is costed."""

    AVERAGE = "average"
    FIFO = "fifo"


class Way(StrEnum):
    """How a movement touches the value of its pool."""

    IN = "in"
    FOUND = "found"
    OUT = "out"
    BACK = "back"
    UNDO_IN = "undo in"
    UNDO_OUT = "undo out"


INCOMING = frozenset({Way.IN, Way.FOUND, Way.BACK, Way.UNDO_OUT})
# First in, first out: what comes back is the oldest.
IN_FRONT = frozenset({Way.BACK, Way.UNDO_OUT})


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """What is there and what it is worth; `layers` only where the first in goes out first, the oldest in front."""

    method: Method = Method.AVERAGE
    mass_g: Decimal = NOTHING
    value: Decimal = NOTHING
    layers: tuple[Layer, ...] = ()

    @property
    def per_kg(self) -> Decimal:
        """What a kilogram of it costs at the mean."""
        return per_kg(self.value, self.mass_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A movement: `mass_g` above nought always; `value` where the way carries its own; `name` of the line that it is of."""

    way: Way
    mass_g: Decimal
    value: Decimal = NOTHING
    name: int | None = None
    lot_per_kg: Decimal = NOTHING


def found_value(*, on_hand_g: Decimal, value: Decimal, mass_g: Decimal, lot_per_kg: Decimal) -> Decimal:
    """Value what a count finds in excess: at the mean of what is there, on an empty shelf at the lot's own cost."""
    return worth(mass_g, lot_per_kg) if on_hand_g <= 0 else worth(mass_g, value * 1000 / on_hand_g)


def average_out(*, on_hand_g: Decimal, value: Decimal, mass_g: Decimal) -> Decimal:
    """Value what goes out at the mean."""
    return part_of(value, mass_g=mass_g, of_g=on_hand_g)


def average_undo_in(*, on_hand_g: Decimal, value: Decimal, mass_g: Decimal, came_at: Decimal) -> Decimal:
    """Value what an undone delivery takes along: what it brought, no more than is there, everything with the last gram."""
    return value if mass_g >= on_hand_g else min(came_at, value)


def own_layer_first(layers: Iterable[Layer], name: int | None) -> list[Layer]:
    """Put the layer that a line brought in front of the others, for taking that line back."""
    listed = list(layers)
    return [one for one in listed if one.name == name] + [one for one in listed if one.name != name]


def after(pool: Pool, event: Event) -> tuple[Pool, Decimal]:
    """Let an event happen to a pool: the pool after it, and the change of its value.

    Raises
    ------
    ValueError
        When more goes out than is there.
    """
    incoming = event.way in INCOMING
    if not incoming and event.mass_g > pool.mass_g:
        raise ValueError(f"{event.mass_g} g cannot go out of {pool.mass_g} g.")
    if incoming:
        return _put_in(pool, event)
    if pool.method is Method.FIFO:
        queue = own_layer_first(pool.layers, event.name) if event.way is Way.UNDO_IN else list(pool.layers)
        taken = take(queue, event.mass_g)
        left = {id(one.layer): replace(one.layer, mass_g=one.left_g, value=one.left_value) for one in taken}
        gone = value_of(taken)
        stays = (left.get(id(layer), layer) for layer in pool.layers)
        pool = replace(pool, layers=tuple(layer for layer in stays if layer.mass_g > 0))
    elif event.way is Way.UNDO_IN:
        gone = average_undo_in(on_hand_g=pool.mass_g, value=pool.value, mass_g=event.mass_g, came_at=event.value)
    else:
        gone = average_out(on_hand_g=pool.mass_g, value=pool.value, mass_g=event.mass_g)
    return replace(pool, mass_g=pool.mass_g - event.mass_g, value=pool.value - gone), -gone


def _put_in(pool: Pool, event: Event) -> tuple[Pool, Decimal]:
    value = event.value
    if event.way is Way.FOUND:
        value = found_value(on_hand_g=pool.mass_g, value=pool.value, mass_g=event.mass_g, lot_per_kg=event.lot_per_kg)
    layers = pool.layers
    if pool.method is Method.FIFO:
        layer = Layer(mass_g=event.mass_g, value=value, name=event.name)
        layers = (layer, *layers) if event.way in IN_FRONT else (*layers, layer)
    return replace(pool, mass_g=pool.mass_g + event.mass_g, value=pool.value + value, layers=layers), value


def change_method(pool: Pool, method: Method) -> Pool:
    """Carry the stock over at its worth in the books."""
    if method is Method.FIFO and pool.mass_g > 0 and pool.method is not method:
        return replace(pool, method=method, layers=(Layer(mass_g=pool.mass_g, value=pool.value),))
    return replace(pool, method=method, layers=pool.layers if method is Method.FIFO else ())


def replay(events: Iterable[Event], *, method: Method, start: Pool | None = None) -> list[tuple[Pool, Decimal]]:
    """Let a sequence of events happen; for each the pool after it and the change of value."""
    pool, seen = start or Pool(method=method), []
    for event in events:
        pool, change = after(pool, event)
        seen.append((pool, change))
    return seen
