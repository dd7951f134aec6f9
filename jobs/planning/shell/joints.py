"""How a shell is put together: its bolts, how often layers are laid, and the peroxide that sets its resin."""

import math
from dataclasses import replace

from jobs.planning.brief import PlanBrief, ShellBrief, ShellKind
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import Component, Part
from jobs.planning.shape import lengths
from jobs.planning.shell.pieces import parting_length
from jobs.planning.sums import count
from materials.properties import Chemistry, MixBasis
from materials.science.laminate import LEAST_PEROXIDE_PERCENT, MOST_PEROXIDE_PERCENT, WET_LAYERS, peroxide_g, wet_sessions
from studio.figures import Figure, Source, SourceKind

LEAST_BOLTS = 2
LEAST_SPACING_MM, MOST_SPACING_MM = 20.0, 1000.0


def bolts(brief: PlanBrief, shell: ShellBrief) -> Figure | None:
    """Count the bolts along the flanges; None for one piece, or where the parting is not known.

    Raises
    ------
    BadBrief
        When bolts are wanted closer than 20 mm or wider than 1 m.
    """
    spacing = shell.bolt_spacing_mm or rate(brief.rates, "bolt_spacing_mm")
    if not LEAST_SPACING_MM <= spacing.value <= MOST_SPACING_MM:
        raise BadBrief(
            f"Bolts stand {lengths(LEAST_SPACING_MM)} to {lengths(MOST_SPACING_MM)} apart; 100 to 150 mm (4 to 6 in) is usual."
        )
    parting = parting_length(brief)
    if shell.pieces == 1 or parting is None:
        return None
    number = max(math.ceil(1000 * parting.value / spacing.value - 1e-9), LEAST_BOLTS)
    return count(
        "shell_bolts", "Bolts", number, formula="length over which pieces meet ÷ spacing, rounded up, at least two",
        given=(parting, spacing),
    )  # fmt: skip


def sessions(shell: ShellBrief) -> Figure | None:
    """Count how often layers of polyester are laid, with the heat of the last ones passed; None for other shells."""
    if shell.kind is not ShellKind.LAMINATE or shell.material.chemistry is not Chemistry.POLYESTER:
        return None
    return count(
        "shell_sessions", "Times that layers are laid", wet_sessions(layers=shell.layers.value),
        formula="layers ÷ most layers laid wet on wet, rounded up", given=(shell.layers, WET_LAYERS),
    )  # fmt: skip


def catalyst(shell: ShellBrief, parts: tuple[Part, ...]) -> Figure | None:
    """Weigh the peroxide with the range that a resin takes; None where none is dosed. [g]"""
    if shell.material.chemistry is not Chemistry.POLYESTER or shell.material.mix_basis is not MixBasis.PERCENT_ON_BASE:
        return None
    base = next((part.mass for part in parts if part.component is Component.A), None)
    dosed = next((part.mass for part in parts if part.component is Component.B), None)
    if base is None or dosed is None:
        return None
    low, high = (peroxide_g(resin_g=base.value, percent=percent) for percent in (LEAST_PEROXIDE_PERCENT, MOST_PEROXIDE_PERCENT))
    return replace(
        dosed,
        key="shell_catalyst",
        label="Peroxide to weigh",
        formula="resin × dose",
        given=(base, shell.material.need("dose_percent")),
        low=low,
        high=high,
        note="1 to 2 % of the resin is usual: less when it is warm or thick, more when it is cold.",
        source=Source(kind=SourceKind.PUBLISHED, text="a resin maker's laminating notes"),
    )
