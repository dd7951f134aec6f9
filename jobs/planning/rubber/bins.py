"""How a bin of scrap suits a plan's fill: whether it bonds, whether its chunks find room, and how much the fill takes."""

from dataclasses import dataclass

from jobs.planning.brief import ScrapSpec
from jobs.planning.sums import fact
from materials.science.bonding import scrap_verdict
from materials.science.compatibility import Outcome, Verdict
from materials.science.errors import BadPacking
from materials.science.material import MaterialSpec
from materials.science.packing import chunk_too_large, packing_between_walls, scrap_volume
from studio.figures import Figure, Given

MM_ACROSS_A_LITRE = 100
# Less is not worth a word.
TOLD_PACKING = 0.05
SAME_EDGE_MM = 0.05
SIZES = ("good", "look", "stop")
_ORDER = (Outcome.GOOD, Outcome.TEST, Outcome.SEAL, Outcome.REFUSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class BinFit:
    """A bin held against a fill; `size` is the tone of `size_words`, `taken` what the fill takes of it [g]."""

    verdict: Verdict
    size: str
    size_words: str
    wished: Figure
    taken: Figure

    @property
    def place(self) -> tuple[int, int, float]:
        """Where it stands among others: what bonds first, then what finds room, then what fills most."""
        return _ORDER.index(self.verdict.outcome), SIZES.index(self.size), -self.taken.value


def fit_of_bin(
    scrap: ScrapSpec,
    *,
    rubber: MaterialSpec,
    fill: Figure,
    share: Given,
    packing: Given,
    room_l: Given | None,
    studied_edge_mm: float,
    prefix: str,
) -> BinFit:
    """Hold a bin against a fill.

    Parameters
    ----------
    scrap : ScrapSpec
        What the bin holds and has not promised.
    rubber : MaterialSpec
        The fresh rubber of the plan.
    fill : Figure
        Volume of the fill. [L]
    share : Given
        Share of it that is packed with chunks. [%]
    packing : Given
        Share of that space that the chunks take. [1]
    room_l : Given, optional
        Room for chunks by the study of the shape; it counts for chunks of the edge that it was made for. [L]
    studied_edge_mm : float
        That edge. [mm]
    prefix : str
        Begins the keys of the figures.

    Notes
    -----
    Where the study tells nothing of chunks of this edge, the fill is taken as one lump of its volume, whose width chunks must
    not exceed a third of (common practice), and whose walls keep them from lying close. Where the study found no room at all,
    larger chunks find none either.
    """
    verdict = scrap_verdict(
        rubber=rubber.chemistry, rubber_family=rubber.family, scrap=scrap.chemistry, scrap_family=scrap.family
    )
    across_mm = MM_ACROSS_A_LITRE * fill.value ** (1 / 3)
    edge_mm = scrap.chunk_edge_mm.value
    studied = None if room_l is None else room_l.value
    if room_l is not None and abs(edge_mm - studied_edge_mm) >= SAME_EDGE_MM and not (studied == 0 and edge_mm > studied_edge_mm):
        room_l = None
    size, words, reached = _size(edge_mm, across_mm, packing, room_l)
    if studied is not None and room_l is None and size == "good":
        size, words = "look", "Small enough for one lump. Take it, and the shape is studied for chunks of this size."
    chunks_l = scrap_volume(cavity_volume=fill.value, scrap_share=share.value / 100, packing_fraction=reached.value)
    wished = Figure(
        key=f"{prefix}_wished", label="Scrap that the share of the fill takes", value=chunks_l * scrap.density_kg_m3.value,
        unit="g", formula="fill × share of scrap × packing × density of the scrap",
        given=(fill, share, reached, scrap.density_kg_m3),
    )  # fmt: skip
    bounds: tuple[Given | Figure, ...] = (wished, scrap.available_g)
    if room_l is not None:
        room = Figure(
            key=f"{prefix}_room", label="Scrap that finds room", value=room_l.value * reached.value * scrap.density_kg_m3.value,
            unit="g", formula="room where chunks keep their cover × packing × density of the scrap",
            given=(room_l, reached, scrap.density_kg_m3),
        )  # fmt: skip
        bounds = (*bounds, room)
    formula = "the smaller of what its share takes and what is free"
    if room_l is not None:
        formula = "the smallest of what its share takes, what is free and what finds room"
    taken = Figure(
        key=f"{prefix}_taken", label="Scrap that the fill takes of it", value=max(min(one.value for one in bounds), 0.0),
        unit="g", formula=formula, given=bounds,
    )  # fmt: skip
    return BinFit(verdict=verdict, size=size, size_words=words, wished=wished, taken=taken)


def _size(edge_mm: float, across_mm: float, packing: Given, room_l: Given | None) -> tuple[str, str, Given | Figure]:
    """Judge an edge: its tone, the words, and the packing that is reached."""
    if room_l is not None:
        if room_l.value <= 0:
            return "stop", "By the shape’s study no chunk of this size finds room with its cover. Cut them smaller.", packing
        return "good", "The shape’s study found room for chunks of this very size.", packing
    if chunk_too_large(chunk_edge_mm=edge_mm, layer_mm=across_mm):
        return "stop", "Larger than a third of the fill’s width, even if it were one lump. Cut them smaller first.", packing
    try:
        lowered = packing_between_walls(packing_fraction=packing.value, chunk_edge_mm=edge_mm, gap_mm=across_mm)
    except BadPacking as refused:
        return "stop", str(refused), packing
    if packing.value - lowered < TOLD_PACKING:
        return "good", "Small enough for the fill, taken as one lump.", packing
    across = fact("Width of the fill, taken as one lump", across_mm, "mm")
    reached = Figure(
        key="packing_reached", label="Packing that such a fill reaches", value=lowered, unit="1",
        formula="packing − 1.0814 ÷ (width ÷ ball of a chunk’s volume + 0.1226)²", given=(packing, across),
    )  # fmt: skip
    return "look", "The fill is narrow for them: its walls keep chunks apart, so it takes less.", reached
