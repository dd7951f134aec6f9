"""How sure an estimate is by its class: how the piece was measured, whether its kind was made before, and the band."""

from dataclasses import dataclass, replace

from studio.figures import Figure, Source, SourceKind

SOURCE = Source(
    kind=SourceKind.PUBLISHED,
    text="AACE International Recommended Practice 18R-97: typical ranges of accuracy by estimate class",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateClass:
    """One class: how far the true cost typically lies below and above; percent, outer and inner end of each side."""

    number: int
    low_percent: tuple[float, float]
    high_percent: tuple[float, float]

    @property
    def band(self) -> str:
        """The band that the studio shows: the outer ends."""
        return f"−{abs(self.low_percent[0]):g} % to +{self.high_percent[1]:g} %"


CLASSES: dict[int, EstimateClass] = {
    5: EstimateClass(number=5, low_percent=(-50, -20), high_percent=(30, 100)),
    4: EstimateClass(number=4, low_percent=(-30, -15), high_percent=(20, 50)),
    3: EstimateClass(number=3, low_percent=(-20, -10), high_percent=(10, 30)),
    2: EstimateClass(number=2, low_percent=(-15, -5), high_percent=(5, 20)),
    1: EstimateClass(number=1, low_percent=(-10, -3), high_percent=(3, 15)),
}

REASONS = {
    5: "The piece is described, not measured.",
    3: (
        "The piece is measured, so the material is known; the hours still rest on tables, and tape or scan makes "
        "no difference to those. The outer ends of the band are used."
    ),
    2: (
        "The piece is measured, and a job of this kind was delivered before, so that its steps are known. The outer ends of "
        "the band are used."
    ),
}


def class_for(*, measured: bool, alike: int = 0) -> EstimateClass:
    """Return the class of an estimate: 5 for a piece that was only described, 3 for a measured one, 2 once one alike was made.

    `alike` counts the jobs of the same kind that were delivered before.
    """
    if not measured:
        return CLASSES[5]
    return CLASSES[2 if alike else 3]


def banded(figure: Figure, estimate_class: EstimateClass) -> Figure:
    """Give a figure the spread of its class, outer ends, which is what the class promises and no more."""
    return replace(
        figure,
        low=figure.value * (1 + estimate_class.low_percent[0] / 100),
        high=figure.value * (1 + estimate_class.high_percent[1] / 100),
        note=" ".join(
            part
            for part in (
                figure.note,
                f"Class {estimate_class.number} estimate, {estimate_class.band} ({SOURCE.text}).",
                REASONS.get(estimate_class.number, ""),
            )
            if part
        ),
    )
