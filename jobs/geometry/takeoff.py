"""The seam of geometry: plan and price import the takeoff and its volumes from here, however the piece was measured."""

from jobs.geometry.coats import casting_volume, coat_volume, outer_area, print_coat_volume, textured_area
from jobs.geometry.errors import GeometryError
from jobs.geometry.measured import Fault, Method, Takeoff
from jobs.geometry.outline import Outline, OutlineKind
from jobs.geometry.takeoff_store import takeoff_from_json, takeoff_to_json

__all__ = [
    "Fault",
    "GeometryError",
    "Method",
    "Outline",
    "OutlineKind",
    "Takeoff",
    "casting_volume",
    "coat_volume",
    "outer_area",
    "print_coat_volume",
    "takeoff_from_json",
    "takeoff_to_json",
    "textured_area",
]
