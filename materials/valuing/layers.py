"""Layers: what came in together and has not gone out yet, the oldest in front."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from materials.valuing.money import NOTHING, part_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A mass with its value; `name` says which line brought it and `row` where it is kept."""

    mass_g: Decimal
    value: Decimal
    name: int | None = None
    row: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What is taken of a layer, and what is left of it."""

    layer: Layer
    mass_g: Decimal
    value: Decimal

    @property
    def left_g(self) -> Decimal:
        """The mass that stays."""
        return self.layer.mass_g - self.mass_g

    @property
    def left_value(self) -> Decimal:
        """The value that stays."""
        return self.layer.value - self.value


def take(layers: Iterable[Layer], mass_g: Decimal) -> list[Taken]:
    """Take a mass from the front; layers behind it are never looked at.

    Raises
    ------
    ValueError
        When the layers hold less than that: the books and the layers disagree.
    """
    taken: list[Taken] = []
    wanted = mass_g
    for layer in layers:
        part = min(wanted, layer.mass_g)
        taken.append(Taken(layer=layer, mass_g=part, value=part_of(layer.value, mass_g=part, of_g=layer.mass_g)))
        wanted -= part
        if wanted <= 0:
            return taken
    raise ValueError(f"The layers hold {wanted} g less than is taken from them.")


def value_of(taken: Iterable[Taken]) -> Decimal:
    """Add up what was taken."""
    return sum((one.value for one in taken), NOTHING)
