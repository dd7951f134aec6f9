"""When the next coat may follow: not before the last one stops dragging, not after it stops bonding."""

from dataclasses import dataclass

from materials.properties import Chemistry
from materials.science.kinetics import check_temperature, time_at
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given, Source, SourceKind

SILICONES = frozenset({Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE})
DAY = Given(
    label="Bonds clean for about",
    value=1440.0,
    unit="min",
    high=2880.0,
    source=Source(
        kind=SourceKind.COMMON_PRACTICE,
        text="silicone on itself bonds later too if it is clean; past 24 to 48 h wipe with alcohol and test",
    ),
)
LAMINATE_DAY = Given(
    label="Bonds wet on gelled for about",
    value=1440.0,
    unit="min",
    source=Source(kind=SourceKind.FROM_MEMORY, text="wax-free polyester bonds for about 24 h"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecoatWindow:
    """Earliest and latest next coat in minutes after the last; `bond_is_lost` when being late spoils the bond."""

    earliest: Figure
    latest: Figure
    bond_is_lost: bool
    leave_overnight: bool


def recoat_window(material: MaterialSpec, temperature: Given) -> RecoatWindow:
    """Compute the window for the next coat of the same material.

    Earliest is gel. Latest is the stated recoat limit moved to the temperature. Where none is stated: silicone on
    itself counts 24 h as the limit of being clean, wax-free polyester 24 h, epoxy its demold time; polyurethane must
    state it, because a coat laid too late peels.

    Raises
    ------
    MissingProperty, ColdStall, TemperatureOutOfRange

    References
    ----------
    .. [1] For silicone a how-to magazine of 2010 and two workshops' accounts; for polyurethane a workshop's account;
       for polyester a boat builder's note; for epoxy a maker's (all published).
    """
    earliest = time_at(material, "gel_min", temperature).renamed(key="earliest_next", label="Earliest next coat")
    silicone = material.chemistry in SILICONES
    if material.get("recoat_latest_min") is not None or material.chemistry is Chemistry.POLYURETHANE:
        latest = time_at(material, "recoat_latest_min", temperature)
    elif material.chemistry is Chemistry.EPOXY:
        latest = time_at(material, "demold_min", temperature)
    else:
        check_temperature(material, temperature.value)
        limit = LAMINATE_DAY if material.chemistry is Chemistry.POLYESTER else DAY
        latest = Figure(
            key="recoat_latest",
            label="Latest next coat",
            value=max(limit.value, earliest.value),
            unit="min",
            formula="usual limit, not moved with temperature, but never before the earliest",
            given=(limit, earliest),
        )
    return RecoatWindow(
        earliest=earliest,
        latest=latest.renamed(key="latest_next", label="Latest next coat"),
        bond_is_lost=not silicone,
        leave_overnight=silicone,
    )
