"""When an agreed quote is paid: the stages that were frozen, for the total that was agreed."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from costing.models import Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One payment of a quote."""

    position: int
    moment: str
    label: str
    amount: Decimal


def stages_of(quote: Quote, gross: Decimal) -> list[Stage]:
    """Return the stages in which a total is paid; they add up to it.

    What the options add is shared out as the quote's own total was, each stage rounded and the last taking the rest.
    """
    frozen = _frozen(quote)
    whole = sum((stage.amount for stage in frozen), Decimal(0))
    if gross == whole or whole <= 0:
        return frozen
    found, left = [], gross
    for stage in frozen:
        last = stage is frozen[-1]
        amount = left if last else (stage.amount * gross / whole).quantize(_step(quote), rounding=ROUND_HALF_UP)
        found.append(Stage(position=stage.position, moment=stage.moment, label=stage.label, amount=amount))
        left -= amount
    return [stage for stage in found if stage.amount > 0]


def _frozen(quote: Quote) -> list[Stage]:
    content = quote.content if isinstance(quote.content, Mapping) else {}
    found: list[Stage] = []
    for item in content.get("payments") or ():
        amount = Decimal(str(item["amount"]))
        if amount > 0:
            moment = str(item.get("moment") or ("start" if not found else "end"))
            found.append(Stage(position=len(found) + 1, moment=moment[:12], label=str(item["label"])[:160], amount=amount))
    return found


def _step(quote: Quote) -> Decimal:
    money: Mapping[str, Any] = (quote.content or {}).get("money") or {}
    return Decimal(1).scaleb(-int(money.get("places", 2)))
