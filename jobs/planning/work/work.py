"""What the tasks of a plan are listed from, and how their minutes are worked out."""

from dataclasses import dataclass, replace

from jobs.planning.pours.results import BoxPlan, ClayPlan
from jobs.planning.results import CastingPlan, Coat, FillPlan, GaugePlan, ShellPlan, StandPlan, StripPlan
from jobs.planning.sums import count
from materials.properties import Chemistry
from studio.figures import Figure, Given, high_end, low_end

BENCH, OFFICE, VACUUM_CHAMBER, ROTATING_FRAME = "bench", "office", "vacuum chamber", "rotating frame"
# What warms itself in a mass while it cures; silicones hardly do.
HEATS = frozenset({Chemistry.POLYESTER, Chemistry.EPOXY, Chemistry.POLYURETHANE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Everything of a plan that takes hands; None where there is none of it.

    `cure_min` is how long fresh rubber of the blanket rests before anything rigid is built over it. [min] `turning_hands` is
    how many people turn the piece; `patch_min` how long a patch test rests, None where none is asked for. [min]
    """

    coats: tuple[Coat, ...]
    cure_min: float
    fill: FillPlan | None = None
    strip: StripPlan | None = None
    gauges: GaugePlan | None = None
    stand: StandPlan | None = None
    shell: ShellPlan | None = None
    casting: CastingPlan | None = None
    clay: ClayPlan | None = None
    box: BoxPlan | None = None
    turning_hands: int = 1
    patch_min: float | None = None

    @property
    def positions(self) -> int:
        """Positions at which rubber is laid."""
        return max((len(coat.places) for coat in self.coats), default=1)


def at_position(key: str, position: int, positions: int) -> str:
    """Return the key of a task at one of several positions; with one position it is the plain key."""
    return key if positions == 1 else f"{key}_position_{position}"


def plain_key(key: str) -> str:
    """Return a task's key without its position and its mold."""
    return key.partition("_position_")[0].partition("_mold_")[0]


def as_rated(key: str, label: str, given: Given) -> Figure:
    """Return minutes that a rate states as they are."""
    return Figure(
        key=f"task_{key}", label=label, value=given.value, unit="min", formula="as rated", given=(given,),
        low=given.low, high=given.high,
    )  # fmt: skip


def times(key: str, label: str, given: Given, amount: Given | Figure, formula: str) -> Figure:
    """Return minutes as a rate times an amount of work."""
    low = None if given.low is None else given.low * amount.value
    high = None if given.high is None else given.high * amount.value
    return Figure(
        key=f"task_{key}", label=label, value=given.value * amount.value, unit="min", formula=formula,
        given=(amount, given), low=low, high=high,
    )  # fmt: skip


def and_more(minutes: Figure, given: Given, words: str, amount: Figure | None = None) -> Figure:
    """Add what comes to an amount of work beside it: a rate as it stands, or for each of a number of things. [min]"""
    times_it = 1.0 if amount is None else amount.value
    return replace(
        minutes, value=minutes.value + times_it * given.value, formula=f"{minutes.formula} + {words}",
        given=(*minutes.given, *(() if amount is None else (amount,)), given),
        low=low_end(minutes) + times_it * low_end(given), high=high_end(minutes) + times_it * high_end(given),
    )  # fmt: skip


def and_mixes(minutes: Figure, handling: Given, mixes: int) -> Figure:
    """Add the weighing, mixing and clearing of the mixes that an amount of work takes. [min]"""
    number = count(f"{minutes.key}_mixes", "Mixes", mixes, formula="mass ÷ largest mix, rounded up")
    return and_more(minutes, handling, "mixes × minutes per mix", number)
