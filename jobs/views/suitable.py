"""Which rubbers suit a surface, in words."""

from dataclasses import dataclass

from materials.models import Material
from materials.properties import Chemistry, MaterialKind
from materials.science.bonding import surface_verdict
from materials.science.compatibility import Outcome, Surface, Verdict

WORDS: dict[Outcome, tuple[str, str]] = {
    Outcome.GOOD: ("cures against it", "done"),
    Outcome.TEST: ("test first", "look"),
    Outcome.SEAL: ("seal it first", "look"),
    Outcome.REFUSED: ("does not cure against it", "stop"),
}
ORDER = list(WORDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class RubberLine:
    """A rubber of the studio with the judgement on this surface."""

    rubber: Material
    verdict: Verdict
    word: str
    tone: str


def suitable_rubbers(*, surface: str, sealed: bool) -> list[RubberLine]:
    """List the rubbers in use, those that suit the surface first."""
    lines = []
    for rubber in Material.objects.filter(kind=MaterialKind.RUBBER, active=True).order_by("name"):
        verdict = surface_verdict(Surface(surface), sealed=sealed, rubber=Chemistry(rubber.chemistry))
        word, tone = WORDS[verdict.outcome]
        lines.append(RubberLine(rubber=rubber, verdict=verdict, word=word, tone=tone))
    return sorted(lines, key=lambda line: ORDER.index(line.verdict.outcome))
