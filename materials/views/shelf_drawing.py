"""A container drawn lying: what is to be used soon, free, promised, not to be used, and used up of what was delivered."""

from collections.abc import Callable

from django.utils.safestring import SafeString

from materials.properties import Chemistry, MaterialKind
from materials.services.shelf import ShelfLine
from materials.templatetags.stock import exact_mass
from studio.models import StudioProfile
from studio.web.drawing import Canvas, Hatch

WIDTH, HEIGHT = 320.0, 22.0
Part = Callable[..., None]
# Each cross over what is not to be used is about as wide as the container is high.
CROSS = 26.0


def hatch_of(*, kind: str, chemistry: str) -> Hatch:
    """Return the hatching that a material is drawn with."""
    if chemistry == Chemistry.GYPSUM:
        return Hatch.PLASTER
    return {
        MaterialKind.RUBBER: Hatch.RUBBER,
        MaterialKind.RESIN: Hatch.RESIN,
        MaterialKind.SHELL: Hatch.LAMINATE,
        MaterialKind.REINFORCEMENT: Hatch.LAMINATE,
    }.get(MaterialKind(kind), Hatch.BOARD)


def container(line: ShelfLine, profile: StudioProfile) -> SafeString:
    """Draw one material's containers as one; what goes bad first lies at the left, where it is taken from."""
    barred = line.on_hand_g - line.usable_g - line.promised_g
    parts = (
        (line.soon_g, "to be used soon", _soon),
        (line.usable_g - line.soon_g, "free", _free),
        (line.promised_g, "promised", _promised),
        (barred, "expired or set aside", _barred),
    )
    told = ", ".join(f"{exact_mass(mass_g, profile)} {word}" for mass_g, word, _ in parts if mass_g > 0)
    said = f"{told or 'nothing left'}, of {exact_mass(line.delivered_g, profile)} delivered"
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=f"{line.material.name} on the shelf", description=said)
    canvas.box((1, 1), (WIDTH - 2, HEIGHT - 2), fill="paper-fill", pen="pale-stroke")
    scale = (WIDTH - 2) / float(line.delivered_g or 1)
    fill = canvas.paint(hatch_of(kind=line.material.kind, chemistry=line.material.chemistry))
    left = 1.0
    for part, _, draw in parts:
        if part > 0:
            # The least that is there can be seen.
            length = min(max(float(part) * scale, 2.0), WIDTH - 1 - left)
            draw(canvas, left, length, fill)
            left += length
    return canvas.svg()


def shelf_key() -> SafeString:
    """Draw what the parts of a container stand for."""
    canvas = Canvas(width=346, height=56, title="Key", description="What the bars show: " + ", ".join(w for w, _, _ in KEY) + ".")
    for (words, at, draw), (x, y) in zip(KEY, ((0, 2), (118, 2), (236, 2), (0, 30), (196, 30)), strict=True):
        canvas.box((x + 1, y), (at, 20), fill="paper-fill", pen="pale-stroke")
        if draw is not None:
            draw(canvas, x + 1.0, float(at), canvas.paint(Hatch.RUBBER), top=y)
        canvas.text((x + at + 7, y + 15), words, size=14, pale=True)
    return canvas.svg()


def _free(canvas: Canvas, left: float, length: float, fill: str, top: float = 1.0) -> None:
    canvas.box((left, top), (length, HEIGHT - 2), fill=fill, pen="stroke", width=1.2)


def _soon(canvas: Canvas, left: float, length: float, fill: str, top: float = 1.0) -> None:
    _free(canvas, left, length, fill, top)
    canvas.line((left, top + HEIGHT - 4), (left + length, top + HEIGHT - 4), pen="look-stroke", width=4)
    wide = min(length, 9.0)
    canvas.shape([(left, top), (left + wide, top), (left, top + 9)], fill="look-fill")


def _promised(canvas: Canvas, left: float, length: float, _fill: str, top: float = 1.0) -> None:
    canvas.box((left, top), (length, HEIGHT - 2), fill="tint-a", pen="stroke", width=1.2)


def _barred(canvas: Canvas, left: float, length: float, _fill: str, top: float = 1.0) -> None:
    canvas.box((left, top), (length, HEIGHT - 2), fill="paper-fill", pen="stroke", width=1.2)
    many = max(round(length / CROSS), 1)
    for number in range(many):
        start, end = left + length * number / many, left + length * (number + 1) / many
        canvas.line((start, top), (end, top + HEIGHT - 2), pen="stop-stroke", width=1.6)
        canvas.line((start, top + HEIGHT - 2), (end, top), pen="stop-stroke", width=1.6)


KEY: tuple[tuple[str, int, Part | None], ...] = (
    ("use soon", 34, _soon),
    ("free", 34, _free),
    ("promised", 34, _promised),
    ("expired or set aside", 34, _barred),
    ("used up", 34, None),
)
