"""Warming a cured rubber: what it is good for, how warm and how long, and what it must not be."""

import math
from dataclasses import dataclass

from materials.properties import Chemistry
from materials.science.errors import BadPostCure
from studio.figures import Given, Source, SourceKind, high_end

PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE, text="after the cure at the temperature of use, on the piece")
MEMORY = Source(kind=SourceKind.FROM_MEMORY, text="heat with moisture can turn a tin silicone soft again")


@dataclass(frozen=True, slots=True, kw_only=True)
class PostCure:
    """A post-cure: the oven's temperature (°C) and time (h) with their ranges, and why it is done.

    `hours` None: as long as the alcohol still leaves; no time is known.
    """

    temperature: Given
    hours: Given | None
    why: str


POST_CURES = {
    Chemistry.PLATINUM_SILICONE: PostCure(
        temperature=Given(label="Post-cure at", value=70.0, unit="degC", low=60.0, high=80.0, source=PRACTICE),
        hours=Given(label="Post-cure for", value=3.0, unit="h", low=2.0, high=4.0, source=PRACTICE),
        why="It stands heat better, and resins are less often held back by it.",
    ),
    Chemistry.TIN_SILICONE: PostCure(
        temperature=Given(label="Post-cure at no more than", value=50.0, unit="degC", high=60.0, source=MEMORY),
        hours=None,
        why="Gentle, dry warmth drives the alcohol out.",
    ),
}


def post_cure(chemistry: Chemistry) -> PostCure | None:
    """Return the post-cure that is usual for a rubber, or None where none is known."""
    return POST_CURES.get(chemistry)


def check_post_cure(chemistry: Chemistry, *, temperature_c: float, cured_share: float) -> None:
    """Refuse warmth that would do harm.

    Parameters
    ----------
    chemistry : Chemistry
        What the rubber is made of.
    temperature_c : float
        Temperature of the oven. [°C]
    cured_share : float
        Time it has cured at the temperature of use, as a share of its demold time there. [1]

    Raises
    ------
    BadPostCure
        When no post-cure is known for the rubber, the oven is hotter than is usual for it, or the rubber has not first
        cured at the temperature of use: then it would freeze at its warm size.
    """
    usual = post_cure(chemistry)
    if usual is None:
        raise BadPostCure(f"No post-cure is known for {chemistry.label.lower()}; ask its data sheet before warming it.")
    most = high_end(usual.temperature)
    if not (math.isfinite(temperature_c) and temperature_c <= most):
        raise BadPostCure(
            f"{chemistry.label} is not warmed above {most:g} °C ({most * 1.8 + 32:g} °F); set the oven lower, "
            "unless its data sheet allows more."
        )
    if not cured_share >= 1:
        raise BadPostCure(
            "Let the rubber cure at the temperature of use first, and warm it on the piece after that; "
            "cured warm it keeps the size it had when it was warm."
        )
