"""What goes wrong in the trade as pages print it: all of it on one page, the worst of it where it is decided."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.planning.results import MoldPlan, Trouble
from jobs.tones import WORDS, WORST_FIRST

MOST_ON_A_STAGE = 4
STAGE_OF: dict[str, tuple[str, ...]] = {
    "mold": (
        "thin_spots", "floppy_mold", "inhibition", "locked_undercut", "locked_casting", "kit_mismatch", "lost_scrap",
    ),
    "coats": ("trapped_air", "missed_recoat", "too_cold", "too_hot", "off_ratio", "warm_cure"),
    "shell": ("heavy_plaster",),
    "castings": ("worn_mold", "resin_runs", "size"),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TroubleLine:
    """A trouble with the word and the shape of its tone."""

    trouble: Trouble
    word: str
    tone: str


def trouble_lines(troubles: Iterable[Trouble]) -> tuple[TroubleLine, ...]:
    """Return troubles with what can spoil the mold first, then what is to be looked at."""
    found = sorted(troubles, key=lambda trouble: WORST_FIRST.index(trouble.tone))
    return tuple(TroubleLine(trouble=one, word=WORDS[one.tone][0], tone=WORDS[one.tone][1]) for one in found)


def not_good(troubles: Iterable[Trouble]) -> tuple[TroubleLine, ...]:
    """Return what wants a look or a stop, the worst first."""
    return trouble_lines(trouble for trouble in troubles if trouble.tone != "good")


def worst_of(made: MoldPlan | None, stage: str) -> tuple[TroubleLine, ...]:
    """Return what is not good and is decided on a stage's page, the worst first."""
    if made is None:
        return ()
    return not_good(trouble for trouble in made.troubles if trouble.key in STAGE_OF[stage])[:MOST_ON_A_STAGE]
