"""Warming the cured mold before its first casting, where that is known to help."""

from collections.abc import Iterator

from jobs.planning.brief import PlanBrief
from materials.properties import Chemistry
from materials.science.postcure import post_cure
from studio.figures import Figure, Given, Remark


def aftercare_remarks(brief: PlanBrief) -> Iterator[Remark]:
    """Tell how a mold that is cast in may be warmed, and how it must not be."""
    usual = post_cure(brief.rubber.chemistry)
    if usual is None or brief.casting is None:
        return
    tin = brief.rubber.chemistry is Chemistry.TIN_SILICONE
    text = (
        f"A post-cure is worth while. {usual.why} Warm the mold on the piece, and only when it has cured at the temperature it "
        "will be used at: cured warm, it keeps the size it had when it was warm."
    )
    if tin:
        text += " Hot and damp at once, tin silicone turns soft again."
    figures = (_figure("post_cure_temperature", usual.temperature),)
    yield Remark(
        key="warm_mold",
        text=text,
        figures=figures if usual.hours is None else (*figures, _figure("post_cure_hours", usual.hours)),
    )


def _figure(key: str, given: Given) -> Figure:
    return Figure(
        key=key, label=given.label, value=given.value, unit=given.unit, formula="as usual", given=(given,), low=given.low,
        high=given.high, source=given.source,
    )  # fmt: skip
