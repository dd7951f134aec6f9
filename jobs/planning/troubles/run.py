"""Troubles of the run: worn molds, resin that runs, size, warm cures, and injuries."""

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import MoldPlan
from jobs.planning.run.size import longest_side, warm_loss
from jobs.planning.sums import count, scaled
from jobs.planning.troubles.judged import Judged, good, look, plain, stop
from materials.science.windows import SILICONES
from studio.figures import Figure, high_end

NOTHING_CAST = "Nothing is cast."
LIKELY, MORE_LIKELY_THAN_NOT = 0.1, 0.5
SIZE_SHOWS_PERCENT, SIZE_SPOILS_PERCENT = 0.2, 1.0
WARM_SHOWS_PERCENT, WARM_SPOILS_PERCENT = 0.1, 0.3


def worn_mold(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Take the chance that a mold dies within the run, and the molds that the run wants."""
    if brief.casting is None:
        return good(NOTHING_CAST)
    life = plan.life
    if life is None:
        return look("How long such a mold lasts is not known: enter castings from a mold on the rubber's page.")
    chance = scaled(life.dies_before_end, 100, key="chance", label=life.dies_before_end.label, unit="%", formula="chance × 100")
    figures = (life.expected, chance, life.molds_wanted)
    if life.dies_before_end.value > MORE_LIKELY_THAN_NOT:
        return stop("It is more likely than not that a mold dies before the run is done.", *figures)
    if life.molds_wanted.value > brief.molds or life.dies_before_end.value > LIKELY:
        return look("A mold may die before the run is done; look at it after every fifth pull.", *figures)
    return good("The molds are likely to outlive the run.", *figures)


def resin_bottom(_brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Compare the thickest skin with the film that turning holds."""
    casting = plan.casting
    if casting is None:
        return good(NOTHING_CAST)
    early, late = casting.film_limit, casting.film_at_gel
    if early is None or late is None:
        return look("Enter the turns a minute on the Castings page and the resin's viscosity on its page to tell.")
    skin = max((step.thickness for step in casting.steps), key=lambda figure: figure.value)
    if skin.value > late.value:
        return stop("Turning never holds a skin this thick: the roof stays thin and the bottom thick.", skin, early, late)
    if skin.value > early.value:
        return look("It runs to the bottom until it has thickened: keep turning until it gels.", skin, early, late)
    return good("Turning holds each skin from the start.", skin, early)


def size_complaint(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell by how much castings come out smaller than the piece."""
    casting = plan.casting
    if casting is None:
        return good(NOTHING_CAST)
    if casting.size is None or casting.oversize is None:
        return look("Enter the linear shrinkage of rubber and resin on their pages to tell the size.")
    longest = longest_side(brief)
    short = Figure(
        key="short_by", label="The longest side comes out short by", value=longest.value - casting.size.value, unit="mm",
        formula="longest side of the piece − longest side of a casting", given=(longest, casting.size),
    )  # fmt: skip
    percent = 100 * short.value / longest.value
    if percent >= SIZE_SPOILS_PERCENT:
        return stop("Castings come out so much smaller that they do not fit what the piece fits.", short, casting.oversize)
    if percent >= SIZE_SHOWS_PERCENT:
        return look("Castings come out smaller than the piece; agree a tolerance before the work.", short, casting.oversize)
    return good("Castings come out almost at size.", short)


def warm_cure(brief: PlanBrief, _plan: MoldPlan) -> Judged:
    """Tell what a room warmer than use takes from the size."""
    room, use = plain("room", brief.temperature_c), plain("use", rate(brief.rates, "use_temp_c"))
    loss = warm_loss(brief)
    if loss is None:
        if brief.rubber.chemistry not in SILICONES and room.value > use.value + 1:
            return look("How much this rubber grows with warmth is not known; cure it at the temperature of use.", room, use)
        return good("It cures about as cool as castings are used.", room, use)
    percent = 100 * high_end(loss) / longest_side(brief).value
    if percent >= WARM_SPOILS_PERCENT:
        return stop("What cures this warm is smaller when it is cool; joints become tight.", loss, room, use)
    if percent >= WARM_SHOWS_PERCENT:
        return look("The room takes a little of the size.", loss, room, use)
    return good("The room takes next to nothing of the size.", loss, room, use)


def injury(_brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell which of the plan's loads can hurt; nothing here promises safety."""
    cautions = count(
        "cautions", "Cautions that belong to this plan", len(plan.cautions.every()), formula="by its materials and work"
    )
    frame, lifts = plan.frame, plan.lifts
    heaviest = max(lifts, key=lambda lift: lift.mass.value, default=None)
    mass = None if heaviest is None else heaviest.mass
    if frame is not None and frame.load.value > frame.limit.value:
        return stop("The frame would carry more than it may, and can drop or throw the mold.", frame.load, frame.limit, cautions)
    if heaviest is not None and heaviest.people > 1:
        words = f"Something is lifted that takes {heaviest.by}. Read every caution and data sheet first."
        return look(words, mass, cautions, None if frame is None else frame.load)
    return look(
        "Read every caution and data sheet first; no plan knows what happens at the bench.", cautions, mass,
        None if frame is None else frame.load,
    )  # fmt: skip
