"""Whether the blanket passes the widest part of the piece when it is pulled off."""

from collections.abc import Iterator

from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.shape import lengths
from materials.science.material import MaterialSpec
from materials.science.stretch import FEW_SHARE, REPEATED_SHARE, bending_strain, stretch_over
from studio.figures import Figure, Given, Remark, Source, SourceKind

# Of the elongation at break: for every pull of a run, and for a few pulls.
_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE, text="a third of the elongation at break for a run, half for a few pulls")
OFTEN = Given(label="Share of the elongation to use pull after pull", value=REPEATED_SHARE, unit="1", source=_PRACTICE)
SELDOM = Given(label="Share of the elongation to use for a few pulls", value=FEW_SHARE, unit="1", source=_PRACTICE)

# As sharp as hands turn a blanket inside out.
THUMB_MM = 10.0


def plan_stretch(brief: PlanBrief) -> Figure | None:
    """Compute how far the blanket is stretched where the widest girth passes the opening [%].

    Returns
    -------
    Figure or None
        None until both girths are typed. Below nought nothing is stretched and the value is nought.

    Raises
    ------
    BadBrief
        When a girth is not above nought.
    """
    widest, opening = brief.widest_girth_mm, brief.opening_girth_mm
    if widest is None or opening is None:
        return None
    for girth in (widest, opening):
        if not girth.value > 0:
            raise BadBrief(f"“{girth.label}” must be more than nought; measure it with a tape, or leave both girths empty.")
    allowed = allowed_stretch(brief.rubber)
    return Figure(
        key="stretch", label="Stretch when the blanket is pulled off", unit="%",
        value=100 * (stretch_of(widest_mm=widest.value, opening_mm=opening.value) or 0.0),
        formula="widest girth ÷ opening girth − 1", given=(widest, opening, *(() if allowed is None else (allowed,))),
        note="Bending round a tight corner stretches the outside of the blanket further" + _bent(brief.wall_mm.value),
    )  # fmt: skip


def _bent(wall_mm: float) -> str:
    """Say how far, for a corner that a thumb makes; a wall that is too thick for it is not bent that sharply."""
    if not 0 < wall_mm <= 2 * THUMB_MM:
        return "."
    return f": round a radius of {lengths(THUMB_MM)} by {100 * bending_strain(wall_mm=wall_mm, radius_mm=THUMB_MM):.0f} %."


def stretch_of(*, widest_mm: float | None, opening_mm: float | None) -> float | None:
    """Compute the stretch from two girths, nought where nothing is stretched; None where one is not known [1]."""
    if widest_mm is None or opening_mm is None or not (widest_mm > 0 and opening_mm > 0):
        return None
    return stretch_over(widest_mm=widest_mm, opening_mm=opening_mm)


def allowed_stretch(rubber: MaterialSpec, share: Given = OFTEN) -> Figure | None:
    """Compute the stretch that a rubber may be given, None where its elongation is not known [%]."""
    elongation = rubber.get("elongation_percent")
    if elongation is None:
        return None
    return Figure(
        key="stretch_allowed" if share is OFTEN else "stretch_seldom",
        label="Stretch it bears pull after pull" if share is OFTEN else "Stretch it bears a few times",
        value=elongation.value * share.value, unit="%", formula="elongation at break × share to use", given=(elongation, share),
        low=None if elongation.low is None else elongation.low * share.value,
        high=None if elongation.high is None else elongation.high * share.value,
    )  # fmt: skip


def stretch_remarks(brief: PlanBrief, stretch: Figure | None) -> Iterator[Remark]:
    """Say whether the blanket passes, or what is missing to tell."""
    if stretch is None:
        if (brief.widest_girth_mm is None) is not (brief.opening_girth_mm is None):
            text = "Type both girths, the widest and the one it passes through, to learn how far the blanket is stretched."
            yield Remark(key="stretch_half", text=text)
        return
    often, seldom = allowed_stretch(brief.rubber), allowed_stretch(brief.rubber, SELDOM)
    if often is None or seldom is None:
        if stretch.value > 0:
            text = f"How far {brief.rubber.name} stretches is not known; add its elongation at break on the material's page."
            yield Remark(key="stretch_unknown", text=text, figures=(stretch,))
    elif stretch.value > seldom.value:
        text = "The blanket tears before it passes here: give it a seam, take a softer rubber, or split the mold."
        yield Remark(key="stretch", text=text, tone="stop", figures=(stretch, seldom))
    elif stretch.value > often.value:
        text = "The blanket bears this stretch a few times only: give it a seam, or take a softer rubber, for a run."
        yield Remark(key="stretch_run", text=text, figures=(stretch, often))
