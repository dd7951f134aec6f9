"""The lines that a client pays: mold, castings, other expense, and what is added or taken off besides.

Rule: haste is a percentage of the mold, the castings and the other expense; the discount a percentage of those with haste;
storage comes after it; the least charge lifts the total before tax at the very end. Each of haste, discount and least charge
stands once for every tax rate, on its share of the lines taxed at that rate, so that the tax of a line is always that of what
it belongs to.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from costing.engine.brief import Terms
from costing.engine.money import RULE, PricedLine, priced_line, round_money
from studio.figures import Figure, Given

MOLD, SPARE, CASTING, EXTRA = "mold", "spare", "casting", "extra"
RUSH, DISCOUNT, STORAGE, MINIMUM = "rush", "discount", "storage", "minimum"
_WORDS = {MOLD: "the mold", SPARE: "further molds", CASTING: "castings"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """A line that is added to the price or taken off it, with its working."""

    line: PricedLine
    figure: Figure


def tax_on(kind: str, terms: Terms) -> Decimal:
    """Return the tax on a line of a kind. [%]"""
    rates = {MOLD: terms.tax_on_mold, SPARE: terms.tax_on_mold, CASTING: terms.tax_on_castings, EXTRA: terms.tax_on_extra}
    return rates.get(kind, terms.tax_percent)


def charges_on(lines: Sequence[PricedLine], terms: Terms, places: int) -> tuple[Charge, ...]:
    """Work out haste, discount, storage and what lifts the total to the least charge, in the order they are printed.

    Parameters
    ----------
    lines : sequence of PricedLine
        Mold, castings, other expense; every amount already rounded.
    terms : Terms
        Haste and discount [%], storage [months, money], least charge [money].
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    tuple of Charge
        Lines that come to nothing are left out.
    """
    rush = _share_of(RUSH, "For haste", lines, terms.rush_percent, places)
    with_haste = [*lines, *(charge.line for charge in rush)]
    words = f"Discount: {terms.discount_label}" if terms.discount_label else "Discount"
    discount = _share_of(DISCOUNT, words, with_haste, -terms.discount_percent, places)
    storage = _storage(terms, places)
    so_far = [*with_haste, *(charge.line for charge in (*discount, *storage))]
    return (*rush, *discount, *storage, *_up_to_least(so_far, terms, places))


def _share_of(kind: str, words: str, lines: Sequence[PricedLine], percent: Decimal, places: int) -> tuple[Charge, ...]:
    """Take a percentage of the lines, once for each tax rate."""
    found: list[Charge] = []
    if not percent:
        return ()
    groups = _by_rate(lines)
    for rate, group in groups.items():
        net = sum((line.net for line in group), Decimal(0))
        line = _line(kind, _named(words, group, among=len(groups)), round_money(net * percent / 100, places), rate, places)
        if line.net:
            share = Given(label="Share", value=float(abs(percent)), unit="%")
            formula = "− share × sum of the lines" if percent < 0 else "share × sum of the lines"
            found.append(_charge(line, rate, formula, (share, *(_given(item) for item in group))))
    return tuple(found)


def _storage(terms: Terms, places: int) -> tuple[Charge, ...]:
    if not terms.storage_months or not round_money(terms.storage_per_month, places):
        return ()
    line = priced_line(
        kind=STORAGE,
        text="Storage of the mold, each month",
        quantity=terms.storage_months,
        unit_price=terms.storage_per_month,
        tax_percent=terms.tax_percent,
        places=places,
    )
    months = Given(label="Months", value=terms.storage_months, unit="1")
    fee = Given(label="Storage, each month", value=float(line.unit_price), unit="money")
    return (_charge(line, line.tax_percent, "months × storage, each month", (months, fee)),)


def _up_to_least(lines: Sequence[PricedLine], terms: Terms, places: int) -> tuple[Charge, ...]:
    """Lift the total before tax to the least charge; the difference is spread over the tax rates as the lines are."""
    net = sum((line.net for line in lines), Decimal(0))
    least = round_money(terms.minimum_charge, places)
    if least <= net:
        return ()
    groups = _by_rate(lines)
    weights = {rate: sum((line.net for line in group), Decimal(0)) for rate, group in groups.items()}
    parts = split(least - net, weights, places) if net > 0 else {next(iter(weights), terms.tax_percent): least - net}
    given = (
        Given(label="Least charge", value=float(least), unit="money"),
        Given(label="Price before it", value=float(net), unit="money"),
    )
    found = []
    for rate, amount in parts.items():
        words = _named("Up to the least charge of a job", groups.get(rate, ()), among=len(parts))
        formula = "least charge − price before it"
        formula += ", in proportion to the lines of this tax rate" if len(parts) > 1 else ""
        found.append(_charge(_line(MINIMUM, words, amount, rate, places), rate, formula, given))
    return tuple(charge for charge in found if charge.line.net)


def split(amount: Decimal, weights: dict[Decimal, Decimal], places: int) -> dict[Decimal, Decimal]:
    """Split an amount in proportion to weights, to the last coin: the largest remainders take the coins that are left.

    Parameters
    ----------
    amount : Decimal
        Rounded to the coin, not negative. [money]
    weights : dict
        By tax rate, not negative, with a sum above nought.
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    dict
        Rounded parts by tax rate, whose sum is the amount.
    """
    coin = Decimal(1).scaleb(-places)
    whole = sum(weights.values())
    exact = {rate: amount * weight / whole for rate, weight in weights.items()}
    parts = {rate: part.quantize(coin, rounding=ROUND_DOWN) for rate, part in exact.items()}
    left = int((amount - sum(parts.values())) / coin)
    for rate in sorted(exact, key=lambda item: (parts[item] - exact[item], item))[:left]:
        parts[rate] += coin
    return parts


def _by_rate(lines: Sequence[PricedLine]) -> dict[Decimal, list[PricedLine]]:
    groups: dict[Decimal, list[PricedLine]] = {}
    for line in lines:
        groups.setdefault(line.tax_percent, []).append(line)
    return groups


def _named(words: str, group: Sequence[PricedLine], *, among: int) -> str:
    """Say on which lines it is, where there is more than one tax rate."""
    if among < 2:
        return words
    named = dict.fromkeys(_WORDS.get(line.kind, line.text) for line in group if line.kind not in {RUSH, DISCOUNT, MINIMUM})
    return f"{words}, on {' and '.join(named)}"


def _line(kind: str, text: str, net: Decimal, rate: Decimal, places: int) -> PricedLine:
    return priced_line(kind=kind, text=text, quantity=1, unit_price=net, tax_percent=rate, places=places)


def _charge(line: PricedLine, rate: Decimal, formula: str, given: tuple[Given, ...]) -> Charge:
    key = f"{line.kind}-{rate.normalize():f}".replace(".", "-")
    figure = Figure(key=key, label=line.text, value=float(line.net), unit="money", formula=formula, given=given, note=RULE)
    return Charge(line=line, figure=figure)


def _given(line: PricedLine) -> Given:
    return Given(label=line.text, value=float(line.net), unit="money")
