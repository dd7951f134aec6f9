"""What the turning view needs of a study: legends, and the facts that its script reads."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from jobs.geometry.study.results import Point3, Study
from studio.models import StudioProfile
from studio.web.converting import convert
from studio.web.formats import locale_code, number_text
from studio.web.quantities import show
from studio.web.unit_table import preferred, unit_of

if TYPE_CHECKING:
    from jobs.geometry.study.workspace import Picture

# Points of a parting line that are sent; more would not be seen.
MOST_POINTS = 300
VIEWS = (("front", "from the front right"), ("back", "from the back left"))
LABELS = {
    "plain": "Plain",
    "depth": "Depth of hollows",
    "slope": "Slope",
    "fill": "Fill",
    "piece": "Shell pieces",
}
TOLD = {
    "plain": "The piece as it was measured.",
    "depth": "How far it is through the air from a tight wrapping of the piece: how deep a hand or a brush must reach.",
    "slope": "How far the surface leans from facing up: rubber runs off what is steep, and drips from what is beyond 90°.",
    "fill": "How far the blanket lies below the filled outside: rubber that makes hollows solid, so that the shell comes off.",
    "piece": "Which piece of the shell covers the place, and where each is pulled to.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One way of colouring the piece, with its legend: `marks` are the numbers under its ramp, from pale to dark."""

    key: str
    label: str
    told: str
    marks: tuple[str, ...]
    ramp: SafeString | str
    still_ramp: SafeString | str


def layers_of(picture: "Picture", profile: StudioProfile) -> list[Layer]:
    """Return the layers that a picture has, each with its legend in the studio's units."""
    from jobs.geometry.study.colours import layer_range

    found = []
    for key, label in LABELS.items():
        if key != "plain" and key not in picture.layers:
            continue
        marks: tuple[str, ...] = ()
        if key in {"depth", "slope", "fill"}:
            low, high = layer_range(key, picture.layers[key])
            unit = "°" if key == "slope" else "mm"
            marks = tuple(_mark(low + share * (high - low), unit, profile) for share in (0.0, 0.25, 0.5, 0.75, 1.0))
        ramp, still_ramp = (_ramp(key, f"{place}-{key}") if marks else "" for place in ("ramp", "still-ramp"))
        found.append(Layer(key=key, label=label, told=TOLD[key], marks=marks, ramp=ramp, still_ramp=still_ramp))
    return found


def facts_of(study: Study, *, mesh: str, profile: StudioProfile) -> dict[str, Any]:
    """Return what the script of the turning view reads."""
    from jobs.geometry.study.colours import NO_PIECE, PIECES, RAMPS, piece_colour

    unit = preferred("mm", profile.units)
    taken = study.taken
    pieces = taken.pieces if taken is not None else ()
    return {
        "mesh": mesh,
        "ramps": RAMPS,
        "colours": PIECES,
        "noPiece": NO_PIECE,
        "length": {
            "unit": unit_of(unit).symbol,
            "mm": float(convert(Fraction(1), unit, "mm")),
            "places": 0 if unit == "mm" else 2,
            "point": number_text(Decimal("0.5"), 1, locale_code(profile))[1],
        },
        "pulls": [
            {"number": piece.number, "way": [piece.pull.x, piece.pull.y, piece.pull.z], "colour": piece_colour(piece.number)}
            for piece in pieces
        ],
        "partings": [] if taken is None else [_thinned(line.points, closed=line.closed) for line in taken.partings],
    }


def _thinned(points: Iterable[Point3], *, closed: bool) -> list[list[float]]:
    listed = list(points)
    every = max(1, len(listed) // MOST_POINTS)
    kept = [*listed[:-1:every], *listed[-1:]]
    if closed and kept:
        kept.append(kept[0])
    return [[round(value, 2) for value in point] for point in kept]


def _mark(value: float, unit: str, profile: StudioProfile) -> str:
    return f"{value:.0f}°" if unit == "°" else str(show(round(value, 1) if value < 10 else round(value), unit, profile))


def _ramp(key: str, name: str) -> SafeString:
    """Draw a ramp as it colours the piece, under a name that the page holds once."""
    from jobs.geometry.study.colours import RAMPS

    stops = format_html_join(
        "", '<stop offset="{}" stop-color="{}"/>', ((f"{25 * place}%", hex_of(rgb)) for place, rgb in enumerate(RAMPS[key]))
    )
    return format_html(
        '<svg class="ramp" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true"><defs>'
        '<linearGradient id="{}">{}</linearGradient></defs><rect width="100" height="6" fill="url(#{})"/></svg>',
        name,
        stops,
        name,
    )


def hex_of(rgb: tuple[int, int, int]) -> str:
    """Write a colour as a page does."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def stills_shown(layers: Iterable[Layer]) -> list[Mapping[str, str]]:
    """Return the stills in the order of the page: each layer from both sides."""
    return [
        {"name": f"{layer.key}-{view}", "layer": layer.key, "words": f"{layer.label}, seen {words}"}
        for layer in layers
        for view, words in VIEWS
    ]
