"""Parts of a plan as its pages print them: a heading, what speaks for and against, figures, cups."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jobs.mixing_table import MixTable
from jobs.planning.results import Reason
from jobs.tones import WORST_FIRST
from studio.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """One part of a page: `words` are said first, `mixes` stand last; all figures are paired with what they were."""

    key: str
    heading: str
    words: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    figures: tuple[Figure, ...] = ()
    mixes: MixTable | None = None
    caption: str = ""

    def every_figure(self) -> Iterator[Figure]:
        """Return all figures, also those behind the reasons and in the cups."""
        for reason in self.reasons:
            yield from reason.figures
        yield from self.figures
        if self.mixes is not None:
            yield from self.mixes.every_figure()


def part(
    key: str,
    heading: str,
    figures: Iterable[Figure | None] = (),
    *,
    words: Iterable[str] = (),
    reasons: Iterable[Reason] = (),
    mixes: MixTable | None = None,
    caption: str = "",
) -> PlanPart:
    """Put a part together from what is known; a figure that is not known, or stands behind a reason, is left out."""
    reasoned = ordered(reasons)
    told = {figure.key for reason in reasoned for figure in reason.figures}
    return PlanPart(
        key=key, heading=heading, words=tuple(word for word in words if word), reasons=reasoned,
        figures=tuple(figure for figure in figures if figure is not None and figure.key not in told),
        mixes=mixes, caption=caption,
    )  # fmt: skip


def ordered(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Return what can spoil the mold first, then what is to be looked at, then what is good."""
    return tuple(sorted(reasons, key=lambda reason: WORST_FIRST.index(reason.tone)))


def said(parts: Iterable[PlanPart | None]) -> tuple[PlanPart, ...]:
    """Leave out parts that say nothing."""
    return tuple(one for one in parts if one is not None and (one.words or one.reasons or one.figures or one.mixes))
