"""The flange: board round the base that the blanket covers."""

import math

from jobs.geometry.errors import GeometryError
from studio.figures import Figure, Given

MAX_FLANGE_MM = 1000.0


def flange_figure(rim: Figure, width_mm: float, *, stands_on_board: bool) -> Figure:
    """Compute the flange's area from the rim and its width: rim × width + π × width².

    Parameters
    ----------
    rim : Figure
        Length of the line round the base. [m]
    width_mm : float
        0 to 1000, measured from the piece outward. [mm]
    stands_on_board : bool
        A piece coated all round has no flange.

    Returns
    -------
    Figure
        [m2]. Exact for a base without hollows in its outline, a little high otherwise.
    """
    if not math.isfinite(width_mm) or not 0 <= width_mm <= MAX_FLANGE_MM:
        raise GeometryError(f"The flange must be between 0 and {MAX_FLANGE_MM:g} mm wide.")
    if width_mm > 0 and not stands_on_board:
        raise GeometryError("Only a piece that stands on a board has a flange; set its width to 0.")
    width = width_mm / 1000.0
    value = (rim.value * width + math.pi * width**2) if width > 0 else 0.0
    return Figure(
        key="flange_area",
        label="Flange on the board",
        value=value,
        unit="m2",
        formula="rim × width + π × width²",
        given=(rim, Given(label="Width of the flange", value=width_mm, unit="mm")),
    )
