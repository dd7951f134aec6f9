"""The bar of what makes the price: lengths and labels; the page draws it."""

from collections.abc import Sequence
from dataclasses import dataclass

from studio.figures import Figure
from studio.models import StudioProfile
from studio.web.quantities import show
from studio.web.working import shown_of

WIDTH = 720.0
HEIGHT = 64.0
WORDS_FIT = 0.13
# Each part has its own hatching, so that the bar reads without colour.
PATTERNS = {"material": "slant", "labour": "plain", "overhead": "upright", "extra": "dots", "margin": "cross", "tax": "empty"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One part of the bar, in drawing units; `share` as a person reads it."""

    key: str
    label: str
    letter: str
    figure: Figure
    share: str
    x: float
    width: float
    pattern: str
    words_fit: bool

    @property
    def middle(self) -> float:
        """Where its label stands."""
        return self.x + self.width / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The bar with a sentence that says the same."""

    segments: tuple[Segment, ...]
    sentence: str
    width: float = WIDTH
    height: float = HEIGHT


def price_bar(parts: Sequence[Figure], profile: StudioProfile) -> Bar | None:
    """Lay the parts of a price end to end; None where there is nothing to draw."""
    drawn = [part for part in parts if part.value > 0]
    whole = sum(part.value for part in drawn)
    if whole <= 0:
        return None
    segments, x = [], 0.0
    for index, part in enumerate(drawn):
        share = part.value / whole
        segments.append(
            Segment(
                key=part.key,
                label=part.label,
                letter="ABCDEF"[index],
                figure=part,
                share=str(show(round(100 * share), "%", profile)),
                x=round(x, 2),
                width=round(share * WIDTH, 2),
                pattern=PATTERNS.get(part.key.removesuffix("-money"), "plain"),
                words_fit=share >= WORDS_FIT,
            )
        )
        x += share * WIDTH
    said = ", ".join(f"{item.label.lower()} {shown_of(item.figure, profile)} ({item.share})" for item in segments)
    return Bar(segments=tuple(segments), sentence=f"Of each 100 the client pays: {said}.")
