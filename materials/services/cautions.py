"""The usual warnings for a material, by what it is made of."""

from materials.models import Material
from materials.properties import Chemistry, MaterialKind
from studio.figures import Caution, Source, SourceKind

_SHEET = "Follow its own safety data sheet and the local rules."
_LAW = Source(kind=SourceKind.STANDARD, text="REACH Annex XVII entry 74, Regulation (EU) 2020/1149")

ISOCYANATE = Caution(
    key="isocyanate",
    hazard="Isocyanate in the unmixed parts and in the vapour, more when sprayed or warmed",
    consequence="It can make a person allergic for life, with asthma, and there is no smell to warn of it.",
    avoid="Trained people only (in the EU by law, renewed every five years), extraction, nitrile gloves, no skin contact. "
    + _SHEET,
    source=_LAW,
)
STYRENE = Caution(
    key="styrene_peroxide",
    hazard="Styrene fumes, and a peroxide that reacts violently with cobalt accelerator",
    consequence="Fumes harm nerves and lungs; a splash of peroxide destroys an eye; mixed with cobalt directly it explodes.",
    avoid="Air and a vapour respirator, goggles for the peroxide, never peroxide and cobalt together, small cool store. "
    + _SHEET,
)
EPOXY = Caution(
    key="epoxy",
    hazard="Epoxy resin and amine hardener on the skin",
    consequence="Allergy of the skin that stays for life; a large cup heats up and can smoke.",
    avoid="Nitrile gloves and change them when soiled, no barrier cream in their place, small cups. " + _SHEET,
)
GYPSUM = Caution(
    key="gypsum",
    hazard="Setting plaster in bulk reaches about 60 °C (140 °F), and its dust is breathed in",
    consequence="Deep burns that cost fingers, sore airways.",
    avoid="Never a hand or foot in it, pour dust low and wear a mask, share the weight of large shells. " + _SHEET,
)
DUST = Caution(
    key="dust",
    hazard="Fine dust and fibres",
    consequence="Sore skin, eyes and airways.",
    avoid="Open and weigh without draught, dust mask class P3, wipe wet, do not sweep. " + _SHEET,
)

_BY_CHEMISTRY = {
    Chemistry.POLYURETHANE: ISOCYANATE,
    Chemistry.POLYESTER: STYRENE,
    Chemistry.EPOXY: EPOXY,
    Chemistry.GYPSUM: GYPSUM,
}


def caution_for(material: Material) -> Caution | None:
    """Return the warning that belongs on a material's page, where there is a usual one."""
    found = _BY_CHEMISTRY.get(Chemistry(material.chemistry))
    powder = material.kind in {MaterialKind.THICKENER, MaterialKind.REINFORCEMENT}
    return found or (DUST if powder and material.chemistry == Chemistry.OTHER else None)
