"""What a quote says of size, tolerance, storage and of the things a client gets in hand, until somebody writes otherwise."""

from collections.abc import Iterable

from costing.inputs import PlannedJob, money_places
from costing.wording import (
    DUST,
    EPOXY_CASTING,
    GLASS_SHELL,
    HEAVY_MOLD,
    NO_SHRINKAGE,
    PLASTER_SHELL,
    POLYESTER_CASTING,
    POLYESTER_SHELL,
    POLYURETHANE_CASTING,
    TIN_MOLD,
    WARMTH,
    ownership_words,
)
from jobs.planning.brief import ShellKind
from jobs.planning.cautions import LIFT
from jobs.planning.results import CastingPlan
from materials.properties import Chemistry
from studio.figures import high_end, low_end
from studio.models import StudioProfile
from studio.web.formats import locale_code, money_text
from studio.web.quantities import show

Warning3 = tuple[str, str, str]

_CASTING: dict[Chemistry, Warning3] = {
    Chemistry.POLYURETHANE: POLYURETHANE_CASTING,
    Chemistry.POLYESTER: POLYESTER_CASTING,
    Chemistry.EPOXY: EPOXY_CASTING,
}
_SHELL: dict[Chemistry, Warning3] = {Chemistry.POLYESTER: POLYESTER_SHELL, Chemistry.GYPSUM: PLASTER_SHELL}


def suggested_size(found: PlannedJob, profile: StudioProfile) -> str:
    """Say in a few lines what size castings come out at and how even their walls are; empty where nothing is cast."""
    casting = found.mold.casting
    if casting is None:
        return ""
    return "\n".join([*_length_words(casting, profile), _wall_words(casting, profile)])


def suggested_ownership(profile: StudioProfile) -> str:
    """Say whose the mold is, and what keeping it costs where the studio charges for it."""
    fee = profile.storage_per_month
    text = money_text(round(fee, money_places(profile)), profile.currency, locale_code(profile)) if fee else ""
    return ownership_words(free_months=profile.storage_free_months, fee=text, tax_name=profile.tax_name)


def cautions_in_hand(found: PlannedJob, *, castings: bool) -> list[Warning3]:
    """List the usual hazards of what the client gets in hand: castings, where some are made, the mold and its shell."""
    return list(dict.fromkeys(_in_hand(found, castings=castings)))


def _in_hand(found: PlannedJob, *, castings: bool) -> Iterable[Warning3]:
    plan = found.plan
    if castings and plan.resin is not None:
        yield DUST
        of_resin = _CASTING.get(Chemistry(plan.resin.chemistry))
        if of_resin is not None:
            yield of_resin
    if plan.rubber is not None and Chemistry(plan.rubber.chemistry) is Chemistry.TIN_SILICONE:
        yield TIN_MOLD
    shell = found.mold.shell
    if shell is not None and plan.shell_matrix is not None:
        of_shell = _SHELL.get(Chemistry(plan.shell_matrix.chemistry))
        if of_shell is not None:
            yield of_shell
        if plan.shell_kind == ShellKind.LAMINATE:
            yield GLASS_SHELL
    if LIFT in (*found.mold.cautions.shell, *found.mold.cautions.blanket):
        yield HEAVY_MOLD


def _length_words(casting: CastingPlan, profile: StudioProfile) -> list[str]:
    size = casting.size
    if size is None or not size.high:
        return [NO_SHRINKAGE]
    longest, expected, least = size.high, size.value, low_end(size)
    percent, most = (show(round(100 * (1 - length / longest), 1), "%", profile) for length in (expected, least))
    lengths = [show(length, "mm", profile, keep=True) for length in (longest, expected, least)]
    return [
        f"Rubber and resin shrink while they cure. By the materials' values we expect castings about {percent} smaller than the "
        f"piece: its longest side of {lengths[0]} comes out at about {lengths[1]}.",
        f"Tolerance: that side may measure anything from {lengths[2]} to {lengths[0]}, and other lengths in the same proportion, "
        f"nought to {most} under the piece. If a length has to fit, tell us before work begins and ask for a trial casting.",
        WARMTH,
    ]


def _wall_words(casting: CastingPlan, profile: StudioProfile) -> str:
    skin, skins = casting.skin_thickness, casting.skins
    wall = show(skin.value * skins, "mm", profile)
    thin, thick = (show(round(end * skins, 1), "mm", profile) for end in (low_end(skin), high_end(skin)))
    if thin == thick:
        return f"Walls are about {wall}; they are laid in skins and not equally thick everywhere."
    return f"Walls are about {wall}, laid in skins: from place to place anything from {thin} to {thick} is usual."


def as_lines(text: str) -> list[str]:
    """Split typed words into their lines; empty ones are left out."""
    return [line.strip() for line in text.splitlines() if line.strip()]
