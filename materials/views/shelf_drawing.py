"""A container drawn lying: what is free, promised, not to be used, and used up of what was delivered."""

from django.utils.safestring import SafeString

from materials.properties import Chemistry, MaterialKind
from materials.services.shelf import ShelfLine
from materials.templatetags.stock import exact_mass
from studio.models import StudioProfile
from studio.web.drawing import Canvas, Hatch

WIDTH, HEIGHT = 320.0, 22.0


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
    """Draw one material's containers as one."""
    barred = line.on_hand_g - line.usable_g - line.promised_g
    parts = ((line.usable_g, "free"), (line.promised_g, "promised"), (barred, "expired or set aside"))
    told = ", ".join(f"{exact_mass(mass_g, profile)} {word}" for mass_g, word in parts if mass_g > 0)
    said = f"{told or 'nothing left'}, of {exact_mass(line.delivered_g, profile)} delivered"
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=f"{line.material.name} on the shelf", description=said)
    canvas.box((1, 1), (WIDTH - 2, HEIGHT - 2), fill="paper-fill", pen="pale-stroke")
    scale = (WIDTH - 2) / float(line.delivered_g or 1)
    left = 1.0
    fill = canvas.paint(hatch_of(kind=line.material.kind, chemistry=line.material.chemistry))
    for part, paint in ((line.usable_g, fill), (line.promised_g, "tint-a"), (barred, "paper-fill")):
        length = float(part) * scale
        if length <= 0:
            continue
        canvas.box((left, 1), (length, HEIGHT - 2), fill=paint, pen="stroke", width=1.2)
        if paint == "paper-fill":
            canvas.line((left, 1), (left + length, HEIGHT - 1), pen="stop-stroke", width=1.6)
            canvas.line((left, HEIGHT - 1), (left + length, 1), pen="stop-stroke", width=1.6)
        left += length
    return canvas.svg()
