"""Practice: how the hours of a casting fall as the run goes on, by either of two models that must be named.

Both say that hours fall by the same share whenever the number of castings doubles. Cumulative average (Wright): the mean of
all castings so far falls so. Unit (Crawford): the last casting falls so. The same rate gives less time by the first.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from costing.engine.errors import EngineError
from studio.figures import Source, SourceKind

# At 50 % and less a cumulative average would have the second casting take no time at all.
LEAST_PERCENT, NO_LEARNING = 50.0, 100.0
SOURCE = Source(
    kind=SourceKind.PUBLISHED, text="Wright, Factors Affecting the Cost of Airplanes (1936), and Crawford's unit curve"
)


class LearningModel(StrEnum):
    """What falls by the learning rate whenever castings double."""

    CUMULATIVE_AVERAGE = "cumulative"
    UNIT = "unit"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return "cumulative average (Wright)" if self is LearningModel.CUMULATIVE_AVERAGE else "unit (Crawford)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """A learning rate (%) and its model; 100 % is no learning."""

    percent: float = NO_LEARNING
    model: LearningModel = LearningModel.CUMULATIVE_AVERAGE

    def __post_init__(self) -> None:
        """Refuse what is no learning rate."""
        if not LEAST_PERCENT < self.percent <= NO_LEARNING:
            raise EngineError(
                "A learning rate lies above 50 % and up to 100 %: at 90 % twice the castings take nine tenths of the time each."
            )

    @property
    def learns(self) -> bool:
        """Say whether practice shortens anything."""
        return self.percent < NO_LEARNING

    @property
    def words(self) -> str:
        """Say rate and model as they stand in a working."""
        return f"{self.percent:g} %, {self.model.label}" if self.learns else "no learning"


NONE = Learning()


def learning_of(percent: float | Decimal | None, model: str) -> Learning:
    """Return the learning of a job's terms; an empty rate is no learning."""
    return NONE if percent is None else Learning(percent=float(percent), model=LearningModel(model))


def exponent(percent: float) -> float:
    """Return b = log2(rate), nought or less."""
    return math.log2(percent / 100)


@lru_cache(maxsize=4096)
def total_times(castings: int, learning: Learning) -> float:
    """Return how many times the first casting's hours all castings together take.

    Parameters
    ----------
    castings : int
        How many, one or more.
    learning : Learning
        Rate and model.

    Returns
    -------
    float
        Wright: n^(1 + b). Crawford: 1^b + 2^b + … + n^b. Without learning n.

    References
    ----------
    .. [1] Wright, T. P., "Factors Affecting the Cost of Airplanes", Journal of the Aeronautical Sciences 3 (1936).
    """
    if castings < 1:
        raise EngineError("A run has at least one casting.")
    if not learning.learns:
        return float(castings)
    b = exponent(learning.percent)
    if learning.model is LearningModel.CUMULATIVE_AVERAGE:
        return float(castings ** (1 + b))
    return math.fsum(number**b for number in range(1, castings + 1))


def unit_times(number: int, learning: Learning) -> float:
    """Return how many times the first casting's hours the casting of a number takes.

    Wright: what it adds to the total of those before it. Crawford: k^b.
    """
    if number < 1:
        raise EngineError("Castings are counted from one.")
    if not learning.learns:
        return 1.0
    b = exponent(learning.percent)
    if learning.model is LearningModel.UNIT:
        return float(number**b)
    return float(number ** (1 + b) - (number - 1) ** (1 + b)) if number > 1 else 1.0


def mean_times(castings: int, learning: Learning) -> float:
    """Return how many times the first casting's hours each of so many castings takes on average."""
    return total_times(castings, learning) / castings
