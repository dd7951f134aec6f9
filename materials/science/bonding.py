"""The matrix of curing and bonding: fresh rubber on a surface, and fresh rubber on old."""

from materials.properties import Chemistry
from materials.science.compatibility import Outcome, Surface, Verdict
from studio.figures import Source, SourceKind

PLATINUM, TIN, URETHANE = Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE, Chemistry.POLYURETHANE
SILICONES = frozenset({PLATINUM, TIN})
PATCH = "Patch test 20 × 20 mm (3/4 in square) of this rubber on this very surface for a full demold time before the first coat."
SEAL = "Seal the surface, let the sealer dry, release it, and patch test. Tick “sealed” when it is."
_ORDER = (Outcome.GOOD, Outcome.TEST, Outcome.SEAL, Outcome.REFUSED)


def _published(text: str) -> Source:
    return Source(kind=SourceKind.PUBLISHED, text=text)


_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
_MAKERS_LIST = _published("an adhesive distributor's list of what inhibits platinum silicone")
_SEVERAL = _published("several rubber makers")

# Refused whatever is done to the surface.
_NEVER: dict[tuple[Surface, Chemistry], tuple[str, Source]] = {
    (Surface.SULFUR_CLAY, PLATINUM): (
        "Sulfur in the clay stops platinum silicone from curing under any circumstances, sealed or not.",
        _published("a dealer's answers to common questions"),
    ),
    (Surface.LATEX, PLATINUM): ("Latex and natural rubber stop platinum silicone from curing.", _SEVERAL),
    (Surface.TIN_SILICONE, PLATINUM): ("Tin in the cured rubber stops platinum silicone from curing.", _SEVERAL),
    (Surface.PLATINUM_SILICONE, TIN): (
        "Tin silicone is stated not to cure against platinum silicone.",
        _published("a rubber maker's answers to common questions"),
    ),
}

# Wants a seal first; sealed, it is tested.
_SEAL_FIRST: dict[tuple[Surface, Chemistry], tuple[str, Source]] = {
    (Surface.SULFUR_CLAY, TIN): (
        "Tin silicone cures over sulfur clay only when it is sealed with acrylic.",
        _published("a dealer's answers to common questions"),
    ),
    (Surface.SULFUR_CLAY, URETHANE): ("Polyurethane wants sulfur clay sealed.", _PRACTICE),
    (Surface.PRINT_PHOTOPOLYMER, PLATINUM): (
        "Photo-initiators and unreacted resin often stop platinum silicone: wash, post-cure, bake, then seal.",
        _PRACTICE,
    ),
    (Surface.EPOXY, PLATINUM): ("Amine-cured or part-cured epoxy can stop platinum silicone.", _SEVERAL),
    (Surface.POLYURETHANE, PLATINUM): (
        "Polyurethane is on the lists of what inhibits platinum silicone.",
        _MAKERS_LIST,
    ),
    (Surface.GYPSUM, URETHANE): ("Moisture in gypsum foams polyurethane: dry, seal and release it.", _PRACTICE),
    (Surface.WOOD, URETHANE): ("Moisture in wood foams polyurethane: dry, seal and release it.", _PRACTICE),
    (Surface.WATER_CLAY, URETHANE): ("Water in the clay foams polyurethane.", _PRACTICE),
    (Surface.GYPSUM, PLATINUM): ("Gypsum is porous: rubber keys into it and it may be damp.", _PRACTICE),
    (Surface.WOOD, PLATINUM): ("Some woods affect platinum silicone, and grain holds rubber.", _SEVERAL),
    (Surface.WOOD, TIN): ("Grain holds rubber.", _PRACTICE),
    (Surface.STONE, PLATINUM): ("Porous stone drinks silicone oil and stains.", _PRACTICE),
    (Surface.STONE, TIN): ("Porous stone drinks silicone oil and stains.", _PRACTICE),
}

_FINE: dict[tuple[Surface, Chemistry], tuple[str, Source]] = {
    (Surface.GYPSUM, TIN): ("Tin silicone cures against dry plaster.", _PRACTICE),
    (Surface.EPOXY, TIN): ("Tin silicone cures against epoxy.", _PRACTICE),
    (Surface.SULFUR_FREE_CLAY, TIN): ("Tin silicone cures against clay without sulfur.", _PRACTICE),
    (Surface.METAL, TIN): ("Tin silicone cures against clean metal.", _PRACTICE),
    (Surface.METAL, PLATINUM): ("Platinum silicone cures against clean metal.", _PRACTICE),
}


def surface_verdict(surface: Surface, *, sealed: bool, rubber: Chemistry) -> Verdict:
    """Judge whether a rubber cures against a surface; what no source speaks of is to be tested, never waved through."""
    never = _NEVER.get((surface, rubber))
    if never is not None:
        return Verdict(
            outcome=Outcome.REFUSED,
            reason=never[0],
            advice="Choose a rubber of another chemistry, or take a copy of the piece in a harmless material first.",
            source=never[1],
        )
    if surface is Surface.GLASS_CERAMIC and rubber in SILICONES:
        return Verdict(
            outcome=Outcome.TEST if sealed else Outcome.SEAL,
            reason="Silicone can grip glass and glaze for good.",
            advice="Release the surface well and patch test." if sealed else SEAL,
            source=_PRACTICE,
        )
    seal = _SEAL_FIRST.get((surface, rubber))
    if seal is not None:
        return Verdict(
            outcome=Outcome.TEST if sealed else Outcome.SEAL,
            reason=seal[0],
            advice=PATCH if sealed else SEAL,
            source=seal[1],
        )
    if surface.value == rubber.value:
        return Verdict(
            outcome=Outcome.TEST,
            reason="Rubber bonds to its own kind.",
            advice="Release it thoroughly, or it cannot be opened; " + PATCH[0].lower() + PATCH[1:],
            source=_SEVERAL,
        )
    fine = _FINE.get((surface, rubber))
    if fine is not None:
        return Verdict(outcome=Outcome.GOOD, reason=fine[0], advice="Release as usual.", source=fine[1])
    if surface is Surface.UNKNOWN:
        return Verdict(
            outcome=Outcome.TEST,
            reason="It is not said what the piece's surface is, so nothing is known of how rubber cures on it.",
            advice="Say what the surface is. " + PATCH,
            source=_PRACTICE,
        )
    return Verdict(
        outcome=Outcome.TEST,
        reason=f"No source was found for {rubber.label.lower()} on this surface ({surface.label.lower()}).",
        advice=PATCH,
        source=_PRACTICE,
    )


def scrap_verdict(*, rubber: Chemistry, rubber_family: str, scrap: Chemistry, scrap_family: str) -> Verdict:
    """Judge whether fresh rubber cures against and bonds to old rubber: same chemistry only, another maker's tested."""
    if rubber is scrap and scrap is not Chemistry.OTHER:
        if rubber_family and rubber_family == scrap_family:
            return Verdict(
                outcome=Outcome.GOOD,
                reason="Scrap of the same chemistry and family bonds when it is clean.",
                advice="Wash off release, dust and talc; freshly cut faces bond best.",
                source=_published("a workshop's trial of 2023"),
            )
        return Verdict(
            outcome=Outcome.TEST,
            reason="The scrap is of the same chemistry but another family; blends of different makers' rubbers have come apart.",
            advice="Cast a chunk into a cup of the fresh rubber, cure it fully and try to tear it out.",
            source=_published("a workshop's trial of 2023"),
        )
    if rubber is PLATINUM and scrap is TIN:
        reason, source = "Tin in the scrap stops platinum silicone from curing.", _SEVERAL
    elif rubber is TIN and scrap is PLATINUM:
        reason, source = (
            "Tin silicone is stated not to cure against platinum silicone.",
            _published("a rubber maker's answers to common questions"),
        )
    elif SILICONES & {rubber, scrap}:
        reason, source = "Silicone does not bond to another kind of rubber.", _PRACTICE
    else:
        reason, source = "What is not known to be the same chemistry is not known to bond.", _PRACTICE
    return Verdict(
        outcome=Outcome.REFUSED,
        reason=reason,
        advice="Choose scrap of the same chemistry as the rubber, or fill with fresh rubber.",
        source=source,
    )


def additive_verdict(*, rubber: Chemistry, additive: Chemistry, name: str) -> Verdict:
    """Judge a thickener or tint: one made for another chemistry is refused, a neutral one is fine."""
    if additive in (rubber, Chemistry.OTHER):
        return Verdict(
            outcome=Outcome.GOOD,
            reason=f"{name} is not made for another chemistry.",
            advice="Try it in a small cup first when it is new to this rubber.",
            source=_PRACTICE,
        )
    return Verdict(
        outcome=Outcome.REFUSED,
        reason=f"{name} is made for {additive.label.lower()} and can stop {rubber.label.lower()} from curing.",
        advice="Choose a thickener or tint for this rubber, or one that is neutral.",
        source=_PRACTICE,
    )


def worst(*verdicts: Verdict) -> Verdict:
    """Return the most cautious of several judgements."""
    return max(verdicts, key=lambda verdict: _ORDER.index(verdict.outcome))
