"""Tape readings as plain JSON values, for the way into a child process."""

from collections.abc import Mapping
from typing import Any

from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Solid
from jobs.geometry.solids import SolidKind
from jobs.geometry.stack import Girth
from jobs.geometry.tape import TapeBrief


def tape_to_json(brief: TapeBrief) -> dict[str, Any]:
    """Turn what shapes the piece into plain values; texture and spread shape nothing."""
    return {
        "stands_on_board": brief.stands_on_board,
        "flange_width_mm": brief.flange_width_mm,
        "girths": [[girth.girth_mm, girth.along_mm, girth.height_mm] for girth in brief.girths],
        "solids": [
            [solid.kind.value, list(solid.dimensions_mm), solid.count, solid.taken_away, solid.contact_area_mm2, solid.through]
            for solid in brief.solids
        ],
    }


def tape_from_json(data: Mapping[str, Any]) -> TapeBrief:
    """Read what `tape_to_json` wrote, or refuse with GeometryError."""
    try:
        return TapeBrief(
            stands_on_board=bool(data["stands_on_board"]),
            flange_width_mm=float(data["flange_width_mm"]),
            girths=tuple(Girth(girth_mm=girth, along_mm=along, height_mm=height) for girth, along, height in data["girths"]),
            solids=tuple(
                Solid(
                    kind=SolidKind(kind), dimensions_mm=tuple(dimensions), count=int(count), taken_away=bool(taken),
                    contact_area_mm2=contact, through=bool(through),
                )
                for kind, dimensions, count, taken, contact, through in data["solids"]
            ),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError) as error:
        raise GeometryError("The readings of this piece cannot be read; measure it again.") from error
