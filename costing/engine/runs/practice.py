"""The hours of a run with practice: what each casting takes on average, the first, and the last."""

from costing.engine.labour import RunHours
from costing.engine.runs.learning import SOURCE, Learning, mean_times, total_times, unit_times
from studio.figures import Figure, Given

# Why the first: a rate from a table is that of careful work on a mold nobody has cast from yet, and so practice can only save.
FIRST = (
    "The planned minutes count for the first casting out of a new mold: tables and careful guesses say how long work takes that "
    "nobody has practice in. Where your own rates were learnt from long runs, practice is in them already: leave the rate empty."
)


def hands_h(castings: int, hours: RunHours, learning: Learning) -> float:
    """Return the hours of the first castings together, without starting days. [h]"""
    return hours.by_machine_h * castings + hours.by_hand_h * total_times(castings, learning)


def mean_hours(castings: int, hours: RunHours, learning: Learning) -> Figure:
    """Return the hours of each of so many castings on average, without starting days. [h]"""
    if not learning.learns:
        return hours.each_h
    count = Given(label="Castings", value=castings, unit="1")
    machine = () if hours.machine_h is None else (hours.machine_h,)
    falls = Figure(
        key=f"learning-mean-{castings}",
        label="Share of the first casting's handwork that each takes",
        value=100 * mean_times(castings, learning),
        unit="%",
        formula=_formula(learning),
        given=(rate_given(learning), count),
        source=SOURCE,
    )
    return Figure(
        key=f"casting-hours-{castings}",
        label=f"Hours for each of {castings}, with practice",
        value=hands_h(castings, hours, learning) / castings,
        unit="h",
        formula="turning + (hours for one casting − turning) × share" if machine else "hours for one casting × share",
        given=(hours.each_h, *machine, falls),
        note=FIRST,
    )


def hours_of_number(number: int, hours: RunHours, learning: Learning) -> Figure:
    """Return the hours of the casting of a number in the run, without starting days. [h]"""
    return Figure(
        key=f"casting-{number}-hours",
        label=f"Hours of casting {number}",
        value=hours.by_machine_h + hours.by_hand_h * unit_times(number, learning),
        unit="h",
        formula=f"turning + handwork of the first casting × what casting {number} takes of it",
        given=(hours.each_h, *(() if hours.machine_h is None else (hours.machine_h,)), rate_given(learning)),
        note=FIRST if learning.learns else "",
    )


def total_hours(castings: int, hours: RunHours, learning: Learning) -> Figure:
    """Return the hours of so many castings together, without starting days. [h]"""
    mean = mean_hours(castings, hours, learning)
    count = Given(label="Castings", value=castings, unit="1")
    return Figure(
        key=f"run-{castings}-hands-{learning.model.value}",
        label=f"Hours of {castings} castings",
        value=hands_h(castings, hours, learning),
        unit="h",
        formula="castings × hours for each",
        given=(count, mean),
    )


def saved_by_practice(castings: int, hours: RunHours, learning: Learning) -> Figure | None:
    """Return the hours that practice takes off a run; None where none is reckoned with. [h]"""
    if not learning.learns or castings < 1:
        return None
    mean, count = mean_hours(castings, hours, learning), Given(label="Castings", value=castings, unit="1")
    return Figure(
        key="hours-saved-by-practice",
        label="Less by practice",
        value=castings * (hours.each_h.value - mean.value),
        unit="h",
        formula="castings × (hours for one casting − hours for each with practice)",
        given=(count, hours.each_h, mean),
    )


def rate_given(learning: Learning) -> Given:
    """Return the learning rate as an input of a working, with the name of its model."""
    return Given(label=f"Learning rate, {learning.model.label}", value=learning.percent, unit="%")


def _formula(learning: Learning) -> str:
    if learning.model.value == "cumulative":
        return "castings ^ b, b = log2 of the learning rate: the average falls by the rate at every doubling"
    return "(1^b + 2^b + … + n^b) ÷ n, b = log2 of the learning rate: the last one falls by the rate at every doubling"
