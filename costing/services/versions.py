"""What changed from one version of a quote to the next: lines, options, words, dates and money."""

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from costing.models import Quote, QuoteLine, QuoteOption
from costing.wording import long_date
from studio.models import StudioProfile
from studio.web.formats import locale_code, money_text

# Below this likeness of two texts (0 to 1) a text counts as rewritten.
ALIKE = 0.6
# Longer texts are compared line by line: comparing them sign by sign would take seconds.
MOST_SIGNS = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionChange:
    """A version and how far its totals moved from the one before; None for the first."""

    quote: Quote
    net_moved: Decimal | None
    gross_moved: Decimal | None
    deposit_moved: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLine:
    """What a client reads of a line or an option."""

    kind: str
    text: str
    quantity: Decimal
    unit_price: Decimal
    tax_percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Readable:
    """What a client reads of a version, frozen or about to be."""

    currency: str
    lines: Sequence[PrintedLine]
    options: Sequence[PrintedLine]
    net: Decimal
    gross: Decimal
    deposit: Decimal
    valid_until_on: date
    scope: str
    terms: str
    content: Mapping[str, Any]


def changes_of(versions: Sequence[Quote]) -> list[VersionChange]:
    """Set each version beside the one before it, newest first."""
    found = []
    for index, quote in enumerate(versions):
        before = versions[index - 1] if index else None
        same_money = before is not None and before.currency == quote.currency
        found.append(
            VersionChange(
                quote=quote,
                net_moved=quote.net_total - before.net_total if before and same_money else None,
                gross_moved=quote.gross_total - before.gross_total if before and same_money else None,
                deposit_moved=quote.deposit - before.deposit if before and same_money else None,
            )
        )
    return found[::-1]


def readable(quote: Quote) -> Readable:
    """Read a frozen version as its client does."""
    return Readable(
        currency=quote.currency,
        lines=[printed(line) for line in quote.lines.all()],
        options=[printed(option) for option in quote.options.all()],
        net=quote.net_total,
        gross=quote.gross_total,
        deposit=quote.deposit,
        valid_until_on=quote.valid_until_on,
        scope=quote.scope,
        terms=quote.terms,
        content=quote.content if isinstance(quote.content, dict) else {},
    )


def printed(line: QuoteLine | QuoteOption) -> PrintedLine:
    """Pick what a client reads of a line or an option."""
    return PrintedLine(
        kind=line.kind if isinstance(line, QuoteLine) else "option",
        text=line.text,
        quantity=line.quantity,
        unit_price=line.unit_price,
        tax_percent=line.tax_percent,
    )


def differences(before: Readable, after: Readable, profile: StudioProfile) -> list[str]:
    """Say in short statements what a client finds changed; none of them tells what only the studio may see."""
    said = [*_lines("", before.lines, after.lines, before.currency, after.currency, profile)]
    said += _lines("option ", before.options, after.options, before.currency, after.currency, profile)
    said += _money(before, after, profile)
    if before.valid_until_on != after.valid_until_on:
        said.append(f"valid until {_day(after.valid_until_on, profile)} in place of {_day(before.valid_until_on, profile)}")
    said += _words("the scope", before.scope, after.scope)
    then, now = before.content, after.content
    said += _words("the time it takes", then.get("lead_time", ""), now.get("lead_time", ""))
    said += _items("what is not in the price", then.get("exclusions") or (), now.get("exclusions") or ())
    said += _words("what is said of size", "\n".join(then.get("size") or ()), "\n".join(now.get("size") or ()))
    said += _words("ownership and storage", then.get("ownership", ""), now.get("ownership", ""))
    said += _words("the terms", before.terms, after.terms)
    beside = (
        ("breaks", "prices at other quantities"), ("piece", "the facts of the piece"), ("making", "how it is made"),
        ("cautions", "what to take care of"), ("to_know", "what to know before work begins"), ("pictures", "the pictures"),
    )  # fmt: skip
    said += [f"{words} changed" for key, words in beside if then.get(key) != now.get(key) and (then.get(key) or now.get(key))]
    return said


def _lines(
    word: str,
    before: Sequence[PrintedLine],
    after: Sequence[PrintedLine],
    currency_then: str,
    currency_now: str,
    profile: StudioProfile,
) -> Iterable[str]:
    """Pair lines by their text, then those that are left by their kind in order; the rest came or went."""
    pairs, gone, new = _paired(before, after)
    for then, now in pairs:
        yield from _line(word, then, now, currency_then, currency_now, profile)
    for line in new:
        yield f"{word}added: {line.text}"
    for line in gone:
        yield f"{word}taken out: {line.text}"


def _line(
    word: str, then: PrintedLine, now: PrintedLine, currency_then: str, currency_now: str, profile: StudioProfile
) -> Iterable[str]:
    what = f"{word}“{now.text}”"
    if then.text != now.text:
        yield f"{what} in place of “{then.text}”"
    if then.quantity != now.quantity:
        yield f"{what}: {_number(then.quantity)} became {_number(now.quantity)}"
    if (then.unit_price, currency_then) != (now.unit_price, currency_now):
        prices = _amount(then.unit_price, currency_then, profile), _amount(now.unit_price, currency_now, profile)
        yield f"{what}: {prices[0]} each became {prices[1]}"
    if then.tax_percent != now.tax_percent:
        yield f"{what}: {_number(then.tax_percent)} % tax became {_number(now.tax_percent)} %"


def _paired(
    before: Sequence[PrintedLine], after: Sequence[PrintedLine]
) -> tuple[list[tuple[PrintedLine, PrintedLine]], list[PrintedLine], list[PrintedLine]]:
    left, pairs, open_lines = list(before), [], []
    for line in after:
        same = next((one for one in left if (one.kind, one.text) == (line.kind, line.text)), None)
        if same is None:
            open_lines.append(line)
        else:
            left.remove(same)
            pairs.append((same, line))
    new = []
    for line in open_lines:
        # An option or an expense of other words is another thing; a mold or a casting is the same thing said otherwise.
        like = next((one for one in left if one.kind == line.kind and line.kind not in {"option", "extra"}), None)
        if like is None:
            new.append(line)
        else:
            left.remove(like)
            pairs.append((like, line))
    return pairs, left, new


def _money(before: Readable, after: Readable, profile: StudioProfile) -> Iterable[str]:
    if before.currency != after.currency:
        yield f"prices in {after.currency} in place of {before.currency}"
    for words, then, now in (("the total with tax", before.gross, after.gross), ("the deposit", before.deposit, after.deposit)):
        if (then, before.currency) != (now, after.currency):
            yield f"{words} is {_amount(now, after.currency, profile)} in place of {_amount(then, before.currency, profile)}"


def _words(what: str, then: str, now: str) -> Iterable[str]:
    if then.split() == now.split():
        return
    if not then.strip():
        yield f"{what}: newly said"
    elif not now.strip():
        yield f"{what}: no longer said"
    elif _likeness(then, now) < ALIKE:
        yield f"{what}: rewritten"
    else:
        yield f"{what}: some words changed"


def _likeness(then: str, now: str) -> float:
    if max(len(then), len(now)) > MOST_SIGNS:
        return difflib.SequenceMatcher(None, then.splitlines(), now.splitlines(), autojunk=False).ratio()
    return difflib.SequenceMatcher(None, then.split(), now.split(), autojunk=False).ratio()


def _items(what: str, then: Sequence[str], now: Sequence[str]) -> Iterable[str]:
    for word, found in (
        ("added", [item for item in now if item not in then]),
        ("taken out", [item for item in then if item not in now]),
    ):
        if found:
            yield f"{what}, {word}: {_quoted(found)}"


def _quoted(items: Iterable[str]) -> str:
    return ", ".join(f"“{item.rstrip('. ')}”" for item in items)


def _amount(amount: Decimal, currency: str, profile: StudioProfile) -> str:
    return money_text(amount, currency, locale_code(profile))


def _number(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _day(on: date, profile: StudioProfile) -> str:
    return long_date(on, locale_code(profile))
