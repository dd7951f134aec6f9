"""What a run of castings costs, and what each casting sells for at every quantity asked for."""

import math
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.brief import MOST_CASTINGS, Terms
from costing.engine.cost import Cost, cost_of
from costing.engine.errors import EngineError
from costing.engine.labour import RunHours
from costing.engine.money import round_money
from costing.engine.runs.learning import learning_of
from costing.engine.runs.practice import mean_hours
from studio.figures import Figure, Given, Source, SourceKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """The run at one quantity: casting days, cost and price of each casting, price of all; money before tax."""

    quantity: int
    days: int
    each: Cost
    net: Decimal
    total: Figure


def price_run(*, quantity: int, material_each: Figure, hours: RunHours, terms: Terms, places: int) -> Break:
    """Price a run from one mold that is already paid for.

    Parameters
    ----------
    quantity : int
        Castings in the run, 1 to 10,000.
    material_each : Figure
        Material of one casting, with what is lost. [money]
    hours : RunHours
        Hours of one casting and of starting a casting day, castings a day.
    terms : Terms
        Labour rate, overhead per hour, margin, and the learning rate with its model.
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    Break
        Price of each casting = cost of the run ÷ castings, with the margin; setting up is spread over the days it takes.

    Notes
    -----
    With a learning rate the handwork of later castings takes less; turning on the frame, castings a day and the start of a
    day stay. Without one each casting is taken to need the same time.
    """
    if not 1 <= quantity <= MOST_CASTINGS:
        raise EngineError(f"Price between 1 and {MOST_CASTINGS:,} castings.")
    days = math.ceil(quantity / max(hours.per_day.value, 1) - 1e-9)
    count = Given(label="Castings", value=quantity, unit="1")
    day_count = Given(
        label="Casting days",
        value=days,
        unit="1",
        source=Source(kind=SourceKind.COMPUTED, text="castings ÷ castings a day, rounded up"),
    )
    work_h = mean_hours(quantity, hours, learning_of(terms.learning_percent, terms.learning_model))
    each_h = Figure(
        key=f"run-{quantity}-hours",
        label=f"Hours for each of {quantity}",
        value=work_h.value + hours.startup_h.value * days / quantity,
        unit="h",
        formula="hours for one casting + starting a day × casting days ÷ castings",
        given=(work_h, hours.startup_h, day_count, count, hours.per_day),
    )
    each = cost_of(
        stem=f"run-{quantity}",
        what="a casting" if quantity == 1 else f"each of {quantity} castings",
        material=material_each,
        hours=each_h,
        terms=terms,
        places=places,
    )
    net = round_money(each.unit_price * quantity, places)
    total = Figure(
        key=f"run-{quantity}-total",
        label=f"Price of {quantity} casting{'s' if quantity != 1 else ''}",
        value=float(net),
        unit="money",
        formula="price of each × castings",
        given=(each.price, count),
    )
    return Break(quantity=quantity, days=days, each=each, net=net, total=total)
