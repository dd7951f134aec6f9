"""When an agreed quote is paid: the stages that were frozen, for the total that was agreed."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
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

    What the options add is shared out as the quote's own total was: what is paid so far is the rounded share so far, and
    the last stage takes the rest.
    """
    frozen = _frozen(quote)
    whole = sum((stage.amount for stage in frozen), Decimal(0))
    if gross == whole or whole <= 0:
        return frozen
    found: list[Stage] = []
    paid = so_far = Decimal(0)
    for stage in frozen:
        so_far += stage.amount
        until = gross if stage is frozen[-1] else (gross * so_far / whole).quantize(_step(quote), rounding=ROUND_HALF_UP)
        found.append(replace(stage, amount=until - paid))
        paid = until
    return [stage for stage in found if stage.amount > 0]


def _frozen(quote: Quote) -> list[Stage]:
    content = quote.content if isinstance(quote.content, Mapping) else {}
    found: list[Stage] = []
    for item in content.get("payments") or ():
        amount = Decimal(str(item["amount"]))
        if amount > 0:
            moment = str(item.get("moment") or ("agreed" if not found else "ready"))
            found.append(Stage(position=len(found) + 1, moment=moment[:12], label=str(item["label"])[:160], amount=amount))
    return found


def _step(quote: Quote) -> Decimal:
    money: Mapping[str, Any] = (quote.content or {}).get("money") or {}
    return Decimal(1).scaleb(-int(money.get("places", 2)))
