"""Dividing the wall into print, build and closing coats."""

from dataclasses import dataclass

from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief, WallTooThin
from jobs.planning.rates import rate
from jobs.planning.results import CoatRole
from jobs.planning.shape import lengths
from jobs.planning.sums import count, fact
from materials.science.sag import coats_to_build, held_by
from studio.figures import Figure

THINNEST_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One coat before it is weighed: what lies under it and how thick it gets."""

    number: int
    role: CoatRole
    under_mm: float
    thickness: Figure

    @property
    def outside_mm(self) -> float:
        """Wall that stands once this coat is on [mm]."""
        return self.under_mm + self.thickness.value


def wall_layers(brief: PlanBrief) -> tuple[Layer, ...]:
    """Divide the wall into coats whose thicknesses sum to it.

    Raises
    ------
    WallTooThin
        When print and closing coats alone exceed the wall.
    BadBrief
        When a thickness or a number of coats is impossible.
    CoatWillNotHold
        When the rubber holds nothing on a wall and the number of coats is not given.
    """
    wall, first, last = brief.wall_mm, brief.print_coat_mm, brief.closing_coat_mm
    if not 0 < wall.value <= 100:
        raise BadBrief(f"The wall must lie between 0 and {lengths(100)}.")
    if first.value <= THINNEST_MM or last.value < 0:
        raise BadBrief("The print coat must be thicker than nought, the closing coat nought or more.")
    build_mm = to_build_mm(brief)
    if build_mm < -THINNEST_MM:
        raise WallTooThin(
            f"Print and closing coats make {lengths(first.value + last.value)}, more than the wall of {lengths(wall.value)}; "
            "make the wall thicker or those coats thinner."
        )
    number_of_builds = _builds(brief, build_mm)
    thicknesses = [(CoatRole.PRINT, _stated(brief.print_coat_mm.value, 1, "as decided"))]
    for index in range(number_of_builds):
        figure = Figure(
            key=f"coat_{index + 2}_thickness",
            label="Thickness",
            value=build_mm / number_of_builds,
            unit="mm",
            formula="(wall − print coat − closing coat) ÷ build coats",
            given=(wall, first, last, builds_figure(brief, build_mm, number_of_builds)),
        )
        thicknesses.append((CoatRole.BUILD, figure))
    if last.value > THINNEST_MM:
        thicknesses.append((CoatRole.CLOSING, _stated(last.value, len(thicknesses) + 1, "as decided")))
    layers: list[Layer] = []
    under = 0.0
    for number, (role, thickness) in enumerate(thicknesses, start=1):
        layers.append(Layer(number=number, role=role, under_mm=under, thickness=thickness))
        under += thickness.value
    return tuple(layers)


def to_build_mm(brief: PlanBrief) -> float:
    """Return what build coats have to reach: the wall without print and closing coat [mm]."""
    return brief.wall_mm.value - brief.print_coat_mm.value - brief.closing_coat_mm.value


def builds_figure(brief: PlanBrief, build_mm: float, number: int) -> Figure:
    """Return the number of build coats with its reason."""
    if brief.build_coats is not None:
        return count("build_coats", "Build coats", number, formula="as decided")
    factor = rate(brief.rates, "sag_factor")
    return count(
        "build_coats",
        "Build coats",
        number,
        formula="thickness to build ÷ (held thickness × sag factor), rounded up",
        given=(fact("Thickness to build", max(build_mm, 0.0), "mm"), held_by(brief.rubber), factor),
    )


def _builds(brief: PlanBrief, build_mm: float) -> int:
    if build_mm <= THINNEST_MM:
        return 0
    if brief.build_coats is None:
        factor = rate(brief.rates, "sag_factor")
        number = coats_to_build(build_mm=build_mm, held_mm=held_by(brief.rubber).value, sag_factor=factor.value)
    else:
        number = brief.build_coats
    if not 1 <= number <= 60:
        raise BadBrief(
            f"{lengths(build_mm)} of build coats in {number} coats cannot be planned; give 1 to 60 build coats, "
            "or make the print and closing coats fill the wall."
        )
    return number


def _stated(value_mm: float, number: int, formula: str) -> Figure:
    return Figure(key=f"coat_{number}_thickness", label="Thickness", value=value_mm, unit="mm", formula=formula)
