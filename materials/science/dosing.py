"""How far a dose may stray: of the second component, and of thickener and pigment."""

import math
from enum import StrEnum

from materials.properties import Chemistry
from materials.science.errors import BadMixRatio, DoseOutOfTolerance
from studio.figures import Figure, Given, Source, SourceKind, high_end

_USUAL = Source(kind=SourceKind.FROM_MEMORY, text="no deliberate variation; the usual target is within 2 to 5 %")
DOSE_TOLERANCE = {
    Chemistry.TIN_SILICONE: Given(
        label="B may stray by",
        value=20.0,
        unit="%",
        source=Source(
            kind=SourceKind.PUBLISHED,
            text="a maker of two-part sealant: more than 20 % too much embrittles, 20 % too little leaves it uncured",
        ),
    ),
    Chemistry.PLATINUM_SILICONE: Given(label="B may stray by", value=5.0, unit="%", low=2.0, high=5.0, source=_USUAL),
    Chemistry.POLYURETHANE: Given(label="B may stray by", value=5.0, unit="%", low=2.0, high=5.0, source=_USUAL),
}


class Thickening(StrEnum):
    """What a thickener is, and what the mix is meant to become."""

    LIQUID = "liquid"
    BRUSHED = "brushed"
    TROWELLED = "trowelled"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "liquid": "Liquid additive",
            "brushed": "Powder or fibre, to brush",
            "trowelled": "Powder or fibre, to trowel",
        }[self.value]


_POWDER = Source(kind=SourceKind.FROM_MEMORY, text="no published table for silicone was found")
THICKENER_DOSE = {
    Thickening.LIQUID: Given(
        label="Liquid thickener", value=0.75, unit="%", low=0.5, high=1.0,
        source=Source(kind=SourceKind.PUBLISHED, text="a maker's workshop page: 0.5 to 1 %, after the catalyst"),
    ),
    Thickening.BRUSHED: Given(label="Thickener for brushing", value=2.0, unit="%", low=1.0, high=3.0, source=_POWDER),
    Thickening.TROWELLED: Given(label="Thickener for trowelling", value=4.5, unit="%", low=3.0, high=6.0, source=_POWDER),
}  # fmt: skip
PIGMENT_DOSE = Given(
    label="Pigment paste", value=0.5, unit="%", low=0.1, high=1.0,
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="0.1 to 1 % of paste"),
)  # fmt: skip


def dose_strays(*, wanted_b_g: float, weighed_b_g: float) -> Figure:
    """Compute by how much a weighed B strays from what its A wants [%]."""
    if not (math.isfinite(wanted_b_g) and wanted_b_g > 0 and math.isfinite(weighed_b_g) and weighed_b_g >= 0):
        raise BadMixRatio("Weigh B again: what is wanted must be more than nought, and what was weighed not less.")
    wanted = Given(label="B wanted", value=wanted_b_g, unit="g")
    weighed = Given(label="B weighed", value=weighed_b_g, unit="g")
    return Figure(
        key="dose_strays",
        label="B strays by",
        value=100 * (weighed_b_g / wanted_b_g - 1),
        unit="%",
        formula="weighed ÷ wanted − 1",
        given=(wanted, weighed),
    )


def check_dose(chemistry: Chemistry, *, wanted_b_g: float, weighed_b_g: float) -> Figure:
    """Return by how much B strays, or refuse a mix that would not cure as stated [%].

    Raises
    ------
    DoseOutOfTolerance
        When it strays further than is known to work, or no tolerance is known for the chemistry.
    BadMixRatio
        When a mass is impossible.
    """
    strays = dose_strays(wanted_b_g=wanted_b_g, weighed_b_g=weighed_b_g)
    allowed = DOSE_TOLERANCE.get(chemistry)
    if allowed is None:
        raise DoseOutOfTolerance(f"How far a dose of {chemistry.label.lower()} may stray is not known; keep to its data sheet.")
    if abs(strays.value) > allowed.value + 1e-9:
        much = "too much" if strays.value > 0 else "too little"
        raise DoseOutOfTolerance(
            f"B is {abs(strays.value):.0f} % {much}; {chemistry.label.lower()} bears {allowed.value:g} %. "
            + ("Add A in proportion." if strays.value > 0 else "Weigh in the rest of B before it is laid.")
        )
    return strays


def dose_g(*, base_g: float, percent: float, kind: Thickening) -> float:
    """Compute the mass of thickener in a mix: base × percent / 100 [g].

    Raises
    ------
    DoseOutOfTolerance
        Above what is known of this kind; too much costs tear strength and stretch.
    """
    dose = THICKENER_DOSE[kind]
    most = high_end(dose)
    if not (math.isfinite(base_g) and base_g >= 0 and math.isfinite(percent) and percent >= 0):
        raise BadMixRatio("A dose and the mass it is stirred into must be nought or more.")
    if percent > most:
        raise DoseOutOfTolerance(
            f"{percent:g} % is more than the {most:g} % known for this ({kind.label.lower()}); "
            "the rubber would lose tear strength and stretch. Lay more coats instead."
        )
    return base_g * percent / 100
