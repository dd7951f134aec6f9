"""Troubles of making and opening the mold, of its hours and its stock: locks, weight, kits, scrap."""

import math

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import Component, MoldPlan
from jobs.planning.shell.lifts import piece_lifts
from jobs.planning.sums import count, scaled
from jobs.planning.troubles.judged import Judged, good, look, plain, stop
from materials.properties import MixBasis
from materials.science.mixing import kit_use_overdosed
from materials.science.stretch import FEW_SHARE, REPEATED_SHARE
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

MORE, MUCH_MORE = 0.1, 0.3
# One-sided 80 % of a normal spread.
P80 = 0.841621
OVERDOSE = Given(
    label="B weighed too generously by", value=3.0, unit="%", source=Source(kind=SourceKind.COMMON_PRACTICE, text="a heavy hand"),
)  # fmt: skip
SHORT_OF_A_MIX = 0.25
WORTH_KEEPING_G = 500.0
FILL_SHARE = 0.9


def underquoted_hours(_brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the planned hours with what four jobs of five stay below, by the ranges of their tasks."""
    ranged = [task.minutes for task in plan.tasks if task.minutes.low is not None and task.minutes.high is not None]
    if not ranged:
        return look("No task has a range: give the rates of work theirs, under Studio, Rates of work.", plan.hours_hands_on)
    more = math.fsum((low_end(m) + high_end(m) - 2 * m.value) / 6 for m in ranged)
    spread = math.sqrt(math.fsum(((high_end(m) - low_end(m)) / 6) ** 2 for m in ranged))
    hours = plan.hours_hands_on
    likely = Figure(
        key="hours_p80", label="Four jobs of five take less than", value=hours.value + (more + P80 * spread) / 60, unit="h",
        formula="Σ (low + 4 × likely + high) ÷ 6 + 0.842 × √Σ ((high − low) ÷ 6)²", given=(hours,),
        note="Tasks are taken to run over each by itself; a hard piece makes all of them longer together.",
        source=Source(kind=SourceKind.PUBLISHED, text="the three-point estimate of PERT"),
    )  # fmt: skip
    over = likely.value / max(hours.value, 1e-9) - 1
    if over > MUCH_MORE:
        return stop("The hours are about a third short of what is safe to promise.", hours, likely)
    if over > MORE:
        return look("The hours are the likely ones; promise more than these.", hours, likely)
    return good("The hours hardly grow even where tasks run over.", hours, likely)


def locked_undercut(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the fill of this plan with what the shape wants so that its shell pieces come off straight."""
    shell, shape = plan.shell, brief.shape
    if shell is None:
        none = count("no_shell", "Shell pieces", 0, formula="no rigid shell is built")
        return good("There is no rigid shell that could lock.", none)
    if shape is None or not shape.pieces or shape.fill_l is None:
        divided = count("pieces_planned", "Shell pieces of this plan", shell.pieces, formula="as decided")
        words = "Whether the shell comes off straight is not known: study the shape on the Shell page."
        return look(words, divided)
    if any(remark.key == "shell_order" for remark in shape.remarks):
        return stop("No order was found in which the shell pieces come off one after another.")
    wanted = plain("fill_wanted", shape.fill_l, label="Fill that lets the shell come off")
    planned = brief.fill_volume_l
    laid = Figure(
        key="fill_laid", label="Fill of this plan", value=0.0 if planned is None else planned.value, unit="L",
        formula="as decided", given=() if planned is None else (planned,),
    )  # fmt: skip
    if laid.value < FILL_SHARE * low_end(wanted):
        return stop("Hollows stay open behind which the shell locks: the shape wants more fill than is planned.", wanted, laid)
    if len(shape.pieces) != shell.pieces:
        found = count("pieces_found", "Shell pieces that were found to come off", len(shape.pieces), formula="from the shape")
        return look("The shell is planned in another number of pieces than the shape was divided into.", found)
    return good("With its fill, every shell piece was found to come off straight.", wanted, laid)


def locked_casting(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the stretch over the widest part with what the rubber bears."""
    stretch, elongation = plan.stretch, brief.rubber.get("elongation_percent")
    if stretch is None:
        return look("Enter the widest girth that must pass and the girth that it passes through, on the Mold page.")
    if elongation is None:
        if stretch.value <= 0:
            return good("Nothing is stretched.", stretch)
        return look(f"How far {brief.rubber.name} stretches is not known: enter its elongation at break.", stretch)
    often = _bears("often", "Stretch it bears pull after pull", elongation, REPEATED_SHARE)
    seldom = _bears("seldom", "Stretch it bears a few times", elongation, FEW_SHARE)
    if stretch.value > seldom.value:
        return stop("The rubber tears before it passes.", stretch, seldom)
    if stretch.value > often.value:
        return look("It bears this a few times, and not for a run.", stretch, often)
    return good("It passes, pull after pull.", stretch, often)


def _bears(key: str, label: str, elongation: Given, share: float) -> Figure:
    return scaled(
        plain("elongation", elongation), share, key=key, label=label, unit="%",
        formula="elongation at break × a third" if share == REPEATED_SHARE else "elongation at break × half",
    )  # fmt: skip


def kit_mismatch(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell how much A is left without its B when B is weighed too generously, against one mix."""
    rubber = brief.rubber
    if rubber.mix_basis is MixBasis.ONE_PART:
        return good("It is one part; nothing is left without the other.")
    found = {need.component: need.mass for need in plan.needs if need.material_key == rubber.key}
    a, b = found.get(Component.A), found.get(Component.B)
    if a is None or b is None or a.value <= 0 or b.value <= 0:
        return look("The parts of A and B are not known: enter the mix ratio on the material's page.")
    use = kit_use_overdosed(
        stock_a_g=a.value, stock_b_g=b.value, parts_a=a.value, parts_b=b.value, overdose_percent=OVERDOSE.value
    )  # fmt: skip
    left = Figure(
        key="left_a", label="A left without its B", value=use.stranded_a_g, unit="g",
        formula="A − B ÷ (1 + overdose) in their ratio, when just enough of both is bought", given=(a, b, OVERDOSE),
    )  # fmt: skip
    one = Figure(
        key="mean_mix", label="A mix, on average", value=plan.rubber_fresh.value / max(plan.mixes_count.value, 1.0), unit="g",
        formula="fresh rubber ÷ mixes", given=(plan.rubber_fresh, plan.mixes_count),
    )  # fmt: skip
    short = (a.value + b.value - use.usable_g) / one.value
    if short >= 1:
        return look("A heavy hand with B leaves a whole mix short at the end: have a kit more at hand.", left, one)
    if short > SHORT_OF_A_MIX:
        return look("A heavy hand with B leaves part of the last mix short.", left, one)
    return good("Even a heavy hand with B leaves the last mix almost whole.", left, one)


def lost_scrap(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell what scrap this plan leans on, and what cured rubber it leaves to be labelled."""
    waste = Figure(
        key="scrap_left", label="Rubber that cures in cups, on brushes and as flash", unit="g",
        value=max(plan.rubber_fresh.value - plan.rubber_net.value, 0.0), formula="mixed − in the mold",
        given=(plan.rubber_fresh, plan.rubber_net),
    )  # fmt: skip
    scrap = brief.scrap
    if scrap is not None and plan.scrap.value > 0:
        if not scrap.family.strip():
            return stop(
                "This scrap has no label of its maker and line: whether fresh rubber bonds to it is not known.", plan.scrap
            )
        if scrap.family != brief.rubber.family:
            return look("This scrap is of another line than the fresh rubber: test the bond before it is buried.", plan.scrap)
        return good("This scrap is known to be of the same line as the fresh rubber.", plan.scrap, waste)
    if waste.value >= WORTH_KEEPING_G:
        return look("What cures beside the mold is worth keeping, if its kind is written on the bag.", waste)
    return good("Little cured rubber is left beside the mold.", waste)


def heavy_shell(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the heaviest piece of the shell with one lift, or the rubber itself where there is no shell."""
    shell = plan.shell
    limit = plain("lift_limit", rate(brief.rates, "lift_limit_kg"))
    if shell is None:
        block = plan.lifts[0]
        if block.people > 1:
            return look(f"There is no shell, but the rubber alone takes {block.by}.", block.mass, limit)
        return good("There is no shell to lift.", block.mass, limit)
    heaviest = max(piece_lifts(shell), key=lambda lift: lift.mass.value)
    spread = scaled(shell.mass, 1 / max(shell.area.value, 1e-12), key="shell_per_m2", label="Shell, by its area", unit="g/m2",
                    formula="mass ÷ area", given=(shell.area,))  # fmt: skip
    if heaviest.people > 2:
        return stop(f"A piece takes {heaviest.by}.", heaviest.mass, limit, spread)
    if heaviest.people > 1:
        return look("A piece takes two people or a hoist.", heaviest.mass, limit, spread)
    return good("One person lifts each piece.", heaviest.mass, limit, spread)
