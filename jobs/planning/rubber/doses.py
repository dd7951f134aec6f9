"""Doses of thickener and tint beyond what is known of them."""

from collections.abc import Iterator

from jobs.planning.brief import PlanBrief
from materials.science.dosing import PIGMENT_DOSE, THICKENER_DOSE, Thickening
from studio.figures import Figure, Given, Remark, high_end

# The most that is known of any kind: powder for a mix that is trowelled.
MOST_THICKENER = THICKENER_DOSE[Thickening.TROWELLED]


def dose_remarks(brief: PlanBrief) -> Iterator[Remark]:
    """Look at a thickener or a tint that is dosed beyond what is known of it."""
    thickener, tint = brief.thickener, brief.tint
    dose = None if thickener is None else thickener.get("dose_percent")
    if thickener is not None and dose is not None and dose.value > high_end(MOST_THICKENER):
        text = (
            f"No source was found for {thickener.name} at this dose: much thickener costs tear strength and stretch. "
            "Lay more build coats in place of it, or follow its data sheet."
        )
        yield Remark(key="dose_thickener", text=text, figures=(_dose("dose_of_thickener", dose, MOST_THICKENER),))
    dose = None if tint is None else tint.get("dose_percent")
    if tint is not None and dose is not None and dose.value > high_end(PIGMENT_DOSE):
        text = f"{tint.name} is dosed higher than is usual: it only has to show thin spots. Halve it and look again."
        yield Remark(key="dose_tint", text=text, figures=(_dose("dose_of_tint", dose, PIGMENT_DOSE),))


def _dose(key: str, dose: Given, usual: Given) -> Figure:
    return Figure(
        key=key, label=dose.label, value=dose.value, unit="%", formula="as stated for the material; above what is known",
        given=(dose, usual), source=dose.source,
    )  # fmt: skip
