"""What goes wrong in the trade as pages print it: all of it on one page, the worst of it where it is decided."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.planning.results import MoldPlan, Trouble
from jobs.tones import WORDS, WORST_FIRST
from studio.figures import Remark

MOST_ON_A_STAGE = 4
STAGE_OF: dict[str, tuple[str, ...]] = {
    "mold": ("thin_spots", "floppy_mold", "locked_undercut", "locked_casting", "kit_mismatch", "lost_scrap"),
    "coats": ("trapped_air", "missed_recoat", "too_cold", "too_hot", "off_ratio", "warm_cure"),
    "shell": ("heavy_plaster",),
    "castings": ("worn_mold", "resin_runs", "size"),
}
# Remarks, by the beginnings of their keys, that say the same at more length; whether the rubber cures stands by itself.
REMARK_OF = {
    "thin_spots": "wall_thin", "floppy_mold": "floppy", "locked_casting": "stretch", "trapped_air": "air",
    "heavy_plaster": "lift", "too_cold": "night", "worn_mold": "life", "resin_runs": "film", "warm_cure": "warm",
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


def worst_of(made: MoldPlan | None, stage: str, remarks: Iterable[Remark] = ()) -> tuple[TroubleLine, ...]:
    """Return what is not good by its numbers and is decided on a stage's page, the worst first.

    What a remark on the page says already is left out, and what cannot be judged yet: the page of all troubles has both.
    """
    if made is None:
        return ()
    said = tuple(remark.key for remark in remarks)
    here = [
        trouble
        for trouble in made.troubles
        if trouble.key in STAGE_OF[stage]
        and trouble.figures
        and not (trouble.key in REMARK_OF and any(key.startswith(REMARK_OF[trouble.key]) for key in said))
    ]
    return not_good(here)[:MOST_ON_A_STAGE]
