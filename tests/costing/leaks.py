"""Finding what only the studio may see in what a client reads."""

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from costing.models import Quote
from studio.models import StudioProfile
from studio.web.formats import amount_of, locale_code, money_text

# Words of the studio's own reckoning; "cost" alone would find what storage costs the client.
WORDS = (
    "margin", "markup", "overhead", "labour", "our cost", "cost of", "costs us", "hours", "per hour", "an hour", "contingency",
    "class 3", "profit", "rate",
)  # fmt: skip
# Fewer figures than this stand anywhere by chance.
FEWEST_DIGITS = 3


def leaks(said: str, quote: Quote) -> list[str]:
    """Return the inner words and figures that a text holds; `said` is everything a client reads of the quote."""
    plain = " ".join(said.replace("\u00a0", " ").split())
    open_words = public_words(quote)
    for words in open_words:
        plain = plain.replace(words, " ")
    lowered = plain.lower()
    found = [word for word in WORDS if re.search(rf"\b{re.escape(word)}\b", lowered)]
    allowed = public_amounts(quote)
    for label, value in inner_values(quote.inner):
        if round(value, 2) in allowed or len(f"{value:.2f}".replace(".", "").strip("0-")) < FEWEST_DIGITS:
            continue
        for text in written(value, quote):
            if re.search(rf"(?<![\d.,]){re.escape(text)}(?![\d]|[.,]\d)", plain):
                found.append(f"{label}: {text}")
    return found


def inner_values(kept: Any) -> Iterable[tuple[str, float]]:
    """Go through every figure and input in the inside of a quote that counts money or hours."""
    if isinstance(kept, Mapping):
        if {"label", "value", "unit"} <= kept.keys() and ("money" in kept["unit"] or kept["unit"] in {"h", "min"}):
            yield str(kept["label"]), float(kept["value"])
        for value in kept.values():
            yield from inner_values(value)
    elif isinstance(kept, list):
        for value in kept:
            yield from inner_values(value)


def written(value: float, quote: Quote) -> set[str]:
    """Return the ways a number may be written."""
    amount = Decimal(repr(value))
    profile = StudioProfile(currency=quote.currency, locale=str((quote.content.get("money") or {}).get("locale", "en")))
    two = round(amount, 2)
    return {
        f"{two:,.2f}", f"{two:.2f}", f"{two:,.2f}".replace(",", " ").replace(".", ","), repr(value),
        money_text(amount_of(two), quote.currency, locale_code(profile)).replace("\u00a0", " "),
    }  # fmt: skip


def public_amounts(quote: Quote) -> set[float]:
    """Return the amounts that a client may read: lines, options, totals, payments, prices at other quantities."""
    rows = [*quote.lines.all(), *quote.options.all()]
    amounts = [amount for row in rows for amount in (row.unit_price, row.net, row.tax, row.net + row.tax, row.tax_percent)]
    amounts += [quote.net_total, quote.tax_total, quote.gross_total, quote.deposit, quote.balance]
    content = quote.content
    amounts += [Decimal(item[name]) for item in content.get("breaks", ()) for name in ("unit_price", "net")]
    amounts += [Decimal(item["amount"]) for item in content.get("payments", ())]
    return {round(float(amount), 2) for amount in amounts}


def public_words(quote: Quote) -> list[str]:
    """Return what people typed for the client to read, which is theirs to say."""
    content = quote.content
    return [" ".join(str(text).split()) for text in (quote.terms, content.get("ownership", "")) if text]
