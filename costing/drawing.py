"""The bar of what makes the price, with the key that its table repeats."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from studio.figures import Figure
from studio.models import StudioProfile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.quantities import show
from studio.web.working import shown_of

WIDTH, TOP, DEEP = 420.0, 24.0, 44.0
HEIGHT = TOP + DEEP + 24
# Each part has its own hatching or tint, so that the bar reads without colour and on a grey print.
_HATCHES = {"material": Hatch.RUBBER, "overhead": Hatch.CURE, "extra": Hatch.PLASTER}
_TINTS = {"labour": "tint-a", "contingency": "tint-b", "margin-money": "ink-fill", "tax": "paper-fill"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One part of the price: its letter in the drawing (none where it is below nought), its figure, its share in percent."""

    letter: str
    figure: Figure
    share_percent: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBar:
    """The drawing and the rows of its table; a price below cost has a row that is taken off and cannot be drawn."""

    svg: SafeString
    segments: tuple[Segment, ...]

    @property
    def below_cost(self) -> bool:
        """Whether one of the parts is below nought."""
        return any(item.figure.value < 0 for item in self.segments)


def price_bar(parts: Sequence[Figure], profile: StudioProfile) -> PriceBar | None:
    """Lay the parts of a price end to end; None where there is nothing to draw."""
    drawn = [part for part in parts if part.value > 0]
    length, whole = sum(part.value for part in drawn), sum(part.value for part in parts)
    if whole <= 0:
        return None
    letters = iter("ABCDEFGHIJ")
    segments = tuple(
        Segment(letter=next(letters) if part.value > 0 else "", figure=part, share_percent=round(100 * part.value / whole))
        for part in parts
        if part.value
    )
    words = ", ".join(
        f"{item.figure.label.lower()} {shown_of(item.figure, profile)} or {show(item.share_percent, '%', profile)}"
        for item in segments
    )
    canvas = Canvas(width=WIDTH, height=HEIGHT, title="What makes the price", description=f"From left to right: {words}.")
    x = 1.0
    for index, item in enumerate(item for item in segments if item.letter):
        width = (WIDTH - 2) * item.figure.value / length
        canvas.box((x, TOP), (width, DEEP), fill=_fill(canvas, item.figure.key), pen="stroke", width=1)
        # Letters stand above and below by turns: neighbours may be narrow.
        canvas.text((x + width / 2, TOP - 7 if index % 2 == 0 else TOP + DEEP + 17), item.letter, anchor="middle", bold=True)
        x += width
    return PriceBar(svg=canvas.svg(), segments=segments)


def _fill(canvas: Canvas, key: str) -> str:
    return canvas.paint(_HATCHES[key]) if key in _HATCHES else _TINTS.get(key, "paper-fill")
