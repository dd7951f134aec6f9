"""What a study wants looked at, and what it found in plain sentences."""

from collections import Counter
from collections.abc import Iterator

from jobs.geometry.study.directions_said import facing_said
from jobs.geometry.study.results import Division, GaugeKind, GaugeSpot, Positions, ScrapRoom, Study
from studio.figures import Figure, Remark

# Slivers up to this share of the area are left out without a word: the search itself leaves out 1 %.
_SLIVERS = 0.015
# A next best way that wants less than so much more fill is worth a thought.
_NEARLY_AS_GOOD = 0.25
_FEW_BLOCKS = 3
_KINDS = {
    GaugeKind.FLAT: ("where it is flat", "for the mean wall"),
    GaugeKind.CROWN: ("on crowns", "where rubber runs off"),
    GaugeKind.THIN: ("where it gets thin", "at edges, overhangs and the tops of upright sides"),
}


def study_remarks(study: Study) -> tuple[Remark, ...]:
    """List what is worth a look before the plan is kept; whether the shell comes off is told by the plan itself."""
    return (
        *_of_positions(study.positions),
        *_of_ways(study),
        *_of_scrap(study.scrap, study.taken),
        *_of_gauges(study.gauges),
    )


def positions_said(positions: Positions) -> str:
    """Say how the piece is held, one position after the other; empty without any."""
    ways = [facing_said(position.up) for position in positions.positions]
    if not ways:
        return ""
    if len(ways) == 1:
        return f"Hold it with {ways[0]} up."
    return f"Hold it in {len(ways)} positions, each time with this part up: {'; '.join(ways)}."


def gauges_said(gauges: tuple[GaugeSpot, ...]) -> str:
    """Say how many gauge blocks are buried and why there; empty without any."""
    if not gauges:
        return ""
    counts = Counter(spot.kind for spot in gauges)
    parts = [f"{counts[kind]} {place} ({why})" for kind, (place, why) in _KINDS.items() if counts[kind]]
    blocks = "1 gauge block" if len(gauges) == 1 else f"{len(gauges)} gauge blocks"
    return f"Bury {blocks} as tall as the wall: {', '.join(parts)}."


def _of_positions(found: Positions) -> Iterator[Remark]:
    worked = sum(position.area_mm2 for position in found.positions)
    if found.left_out_mm2 > _SLIVERS * (worked + found.left_out_mm2):
        left_out = Figure(
            key="positions_left_out", label="Faces up in no position", value=found.left_out_mm2 * 1e-6, unit="m2",
            formula="area that leans more than the limit from facing up in every position",
        )  # fmt: skip
        text = (
            "Part of the surface faces up in no position, because a piece is not hung upside down on its board. Lay it thin, "
            "in more coats, or with a rubber that holds on an overhang."
        )
        yield Remark(key="positions_left_out", text=text, figures=(left_out,))


def _of_ways(study: Study) -> Iterator[Remark]:
    taken = study.taken
    if taken is None or taken.rank > 0 or any(piece.pinned for piece in taken.pieces):
        return
    others = [
        way for way in study.divisions
        if len(way.pieces) == len(taken.pieces) and way.rank > taken.rank and not any(piece.pinned for piece in way.pieces)
    ]  # fmt: skip
    if not others:
        return
    following = min(others, key=lambda way: way.rank)
    more = following.fill_mm3 - taken.fill_mm3
    if more <= taken.fill_bound_mm3 + following.fill_bound_mm3:
        text = (
            "The next best way of pulling as many pieces needs no more fill, as far as can be told: take the one whose "
            "parting is easier to build."
        )
    elif more <= _NEARLY_AS_GOOD * taken.fill_mm3:
        text = "The next best way of pulling as many pieces needs little more fill; its parting may be easier to build."
    else:
        return
    yield Remark(key="shell_ways", text=text, figures=(*_way(taken, "Best way"), *_way(following, "Next best way")))


def _way(division: Division, name: str) -> Iterator[Figure]:
    key = f"shell_way_{division.rank}"
    bound = division.fill_bound_mm3
    if division.fill_mm3 > bound:
        yield Figure(
            key=f"{key}_fill", label=f"{name}: fill", value=division.fill_mm3 * 1e-6, unit="L",
            formula="what no pull frees, less the coated piece", low=(division.fill_mm3 - bound) * 1e-6,
            high=(division.fill_mm3 + bound) * 1e-6,
        )  # fmt: skip
    yield Figure(
        key=f"{key}_parting", label=f"{name}: parting strip", value=division.parting_mm * 1e-3, unit="m",
        formula="length of all partings",
    )  # fmt: skip


def _of_scrap(scrap: ScrapRoom | None, taken: Division | None) -> Iterator[Remark]:
    if scrap is None or taken is None or scrap.room_mm3 > 0:
        return
    # A fill smaller than its own error, or than a few chunks, is nobody's place for scrap.
    if taken.fill_mm3 < max(taken.fill_bound_mm3, 8 * scrap.chunk_edge_mm**3):
        return
    text = (
        "No chunk of this size finds room in the fill with fresh rubber around it. Cut them smaller, or fill with fresh rubber "
        "alone."
    )
    yield Remark(key="scrap_no_room", text=text)


def _of_gauges(gauges: tuple[GaugeSpot, ...]) -> Iterator[Remark]:
    if 0 < len(gauges) < _FEW_BLOCKS:
        text = (
            "The piece is small for its wall: fewer gauge blocks than usual find a place. Prove the wall with a needle as well."
        )
        yield Remark(key="gauges_few", text=text)
