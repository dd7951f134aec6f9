"""What goes wrong in this trade, each with the number of this plan that warns of it, and what to do."""

from collections.abc import Callable
from dataclasses import dataclass

from jobs.planning.brief import PlanBrief
from jobs.planning.results import MoldPlan, Trouble
from jobs.planning.troubles.judged import Judged, look
from jobs.planning.troubles.laying import (
    floppy,
    inhibition,
    missed_recoat,
    thin_spots,
    too_cold,
    too_hot,
    trapped_air,
)
from jobs.planning.troubles.mold import heavy_shell, kit_mismatch, locked_casting, locked_undercut, lost_scrap, underquoted_hours
from jobs.planning.troubles.ratio import off_ratio
from jobs.planning.troubles.run import injury, resin_bottom, size_complaint, warm_cure, worn_mold
from studio.figures import WorkingError

_Judge = Callable[[PlanBrief, MoldPlan], Judged]


@dataclass(frozen=True, slots=True)
class _Line:
    """One trouble of the trade: its first sign, its remedy, and how a plan is judged."""

    key: str
    name: str
    sign: str
    remedy: str
    judge: _Judge


_LINES = (
    _Line("thin_spots", "Thin spots", "Light shows through, and it tears at an edge.",
          "Lay an extra coat over edges, alternate colours, prove the wall with a needle and gauge blocks.", thin_spots),
    _Line("floppy_mold", "Floppy mold", "The blanket does not find its seat in the shell.",
          "Set keys or ribs, lay a thicker wall or a harder rubber, tie tabs to the shell.", floppy),
    _Line("trapped_air", "Trapped air", "Pimples on the castings.",
          "Lay a thin print coat without thickener, stipple it into every cleft, or draw the air out by vacuum.", trapped_air),
    _Line("inhibition", "Rubber that does not cure at the face", "The face is sticky while the cup has cured.",
          "Make a patch test on the real surface, seal it, or change the chemistry.", inhibition),
    _Line("missed_recoat", "Coat laid too late", "Layers peel apart.",
          "Begin no coat that cannot be followed, and lay a late section again after cleaning, roughening and a test.",
          missed_recoat),
    _Line("too_cold", "Too cold", "It is soft everywhere in the morning, cup and all.",
          "Wait by the plan's cure, warm the room and the piece; warmth costs a little size.", too_cold),
    _Line("too_hot", "Too hot", "It gels in the cup.",
          "Mix less at once, cool A beforehand, work in the morning, or take more hands.", too_hot),
    _Line("off_ratio", "Off ratio", "It stays soft, or becomes brittle.",
          "Keep a cup of each mix, have a second person read the scale, and weigh by the mix card.", off_ratio),
    _Line("underquoted_hours", "Hours that nobody priced", "The job runs a third over.",
          "Log setting up, seams and packing; price the hours that four jobs of five keep.", underquoted_hours),
    _Line("locked_undercut", "Locked shell", "The shell does not lift.",
          "Divide it into more pieces, or fill the back of the blanket solid.", locked_undercut),
    _Line("locked_casting", "Locked casting", "The rubber does not pass the widest part.",
          "Cut a seam, take a softer rubber, or split the mold.", locked_casting),
    _Line("kit_mismatch", "A without its B", "B is used up while A is left.",
          "Weigh B, do not pour it by eye; open kits in pairs, oldest first.", kit_mismatch),
    _Line("lost_scrap", "Lost scrap", "A bag of rubber that nobody dares to use.",
          "Label it as it is cut: kind, line, hardness, date, mass.", lost_scrap),
    _Line("worn_mold", "Mold worn out in the run", "Tears and dull spots at a pull in the middle of the run.",
          "Agree a second mold in the quote, renew the release, keep one perfect casting as a new piece.", worn_mold),
    _Line("resin_runs", "Resin runs to the bottom", "The roof of the casting is thin.",
          "Pour more and thinner skins, turn faster, use a thicker resin or one that gels gradually.", resin_bottom),
    _Line("size", "Too small", "A client measures and the casting is short.",
          "Say the size beforehand and agree a tolerance, or have the piece made larger.", size_complaint),
    _Line("warm_cure", "Shrunk by a warm cure", "A joint that fitted is tight.",
          "Cure at the temperature at which castings are used.", warm_cure),
    _Line("heavy_plaster", "Heavy shell", "Backs ache, and a piece is dropped.",
          "Laminate it instead of plaster, divide it into more pieces, lift with two or a hoist.", heavy_shell),
    _Line("injury", "Injury", "There may be no sign before it happens.",
          "Guard and interlock the frame, train for every material, follow its data sheet and local codes, never work alone "
          "at night.", injury),
)  # fmt: skip


def plan_troubles(brief: PlanBrief, plan: MoldPlan) -> tuple[Trouble, ...]:
    """Judge every trouble of the trade for a plan.

    Parameters
    ----------
    brief : PlanBrief
        What was decided.
    plan : MoldPlan
        What comes of it, complete but for its troubles.

    Returns
    -------
    tuple of Trouble
        All of them, in the order of the work: "good" where the number says so, "look" where it wants watching or where
        something must be entered before it can be judged, "stop" where it will spoil the work. Keys of their figures are
        their own, so that a page may show the same number twice.
    """
    return tuple(_trouble(line, brief, plan) for line in _LINES)


def _trouble(line: _Line, brief: PlanBrief, plan: MoldPlan) -> Trouble:
    try:
        judged = line.judge(brief, plan)
    except WorkingError as error:
        judged = look(str(error))
    figures = tuple(figure.renamed(key=f"trouble_{line.key}_{figure.key}", label=figure.label) for figure in judged.figures)
    return Trouble(
        key=line.key, name=line.name, sign=line.sign, tone=judged.tone, words=judged.words, remedy=line.remedy, figures=figures
    )
