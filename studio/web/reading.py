"""Reading typed quantities: fractions, feet and inches, decimal commas, compounds such as "2 lb 3 oz"."""

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError

from studio.web.context import current_profile
from studio.web.converting import convert, factor, to_decimal
from studio.web.formats import decimal_marks, locale_code
from studio.web.unit_table import Unit, all_names, names, preferred, unit_of

if TYPE_CHECKING:
    from studio.models import StudioProfile

LONGEST_TEXT = 60
# Fields put an example of their own in its place.
EXAMPLE = "“12.5 cm”"
WITH_A_UNIT = "a number and its unit"
LARGEST = Fraction(10) ** 9

_NUMBER = re.compile(
    r"(?P<whole>\d+)[ -]+(?P<top>\d+) ?/ ?(?P<bottom>\d+)"
    r"|(?P<top_only>\d+) ?/ ?(?P<bottom_only>\d+)"
    r"|(?P<plain>\d[\d.,]*(?: \d{3}(?!\d))*(?:[.,]\d+)?|[.,]\d+)",
)
_NOT_A_NUMBER = re.compile(r"[-+−]?\s*(nan|inf|infinity|\d+(\.\d+)?e[-+]?\d+)\b", re.IGNORECASE)


def parse(text: str, *, unit: str, profile: "StudioProfile | None" = None) -> Decimal:
    """Read what somebody typed as a number in `unit`; a bare number is in the studio's own unit for it.

    Raises `ValidationError` with a sentence that says what to change, and nothing else, whatever is typed.
    """
    profile = profile or current_profile()
    rest = _tidy(text)
    sign = -1 if rest[:1] in {"-", "−"} else 1
    rest = rest.lstrip("-−+ ") if rest[:1] in {"-", "−", "+"} else rest
    terms: list[tuple[Fraction, str]] = []
    while rest:
        number, rest = _take_number(rest, text, locale_code(profile))
        key, rest = _take_unit(rest, text, unit, previous=terms[-1][1] if terms else "", system=profile.units)
        terms.append((number, key))
    value = _sum(terms, text, unit, sign=sign)
    if abs(value) > LARGEST:
        raise ValidationError(f"“{_short(text)}” is far too large; check the digits and the unit.", code="too_large")
    return to_decimal(value)


def read_number(text: str, *, profile: "StudioProfile | None" = None) -> Decimal:
    """Read a number without a unit."""
    return parse(text, unit="1", profile=profile)


def _tidy(text: str) -> str:
    """Bring the many ways of typing the same signs to one, or refuse what cannot be a quantity."""
    if len(text) > LONGEST_TEXT:
        raise ValidationError(f"That is too long; write one number with its unit, in {LONGEST_TEXT} signs at most.", code="long")
    if _NOT_A_NUMBER.match(text.strip()):
        raise ValidationError(f"“{_short(text)}” is no amount; write the digits, for example {EXAMPLE}.", code="not_a_number")
    spread = "".join(f" {sign}" if unicodedata.category(sign) == "No" and "⁄" in unicodedata.normalize("NFKC", sign) else sign
                     for sign in text)  # fmt: skip
    for power, digit in (("²", "2"), ("³", "3")):
        spread = spread.replace(power, digit)
    plain = (
        unicodedata.normalize("NFKC", spread)
        .replace("⁄", "/")
        .replace("′", "'")
        .replace("''", '"')
        .replace("‑", "-")
        .replace("–", "-")
    )
    plain = re.sub(r"(?<=[A-Za-z])\.(?=[A-Za-z])", "·", re.sub(r"(?<=[A-Za-z])\.(?![A-Za-z\d])", "", plain))
    tidy = re.sub(r"\s+", " ", plain).strip()
    if not tidy:
        raise ValidationError(f"Type a number with its unit, for example {EXAMPLE}.", code="required")
    return tidy


def _take_number(rest: str, text: str, locale: str) -> tuple[Fraction, str]:
    match = _NUMBER.match(rest)
    if not match:
        where = "" if rest.strip() == text.strip() else f" from “{_short(rest)}” on"
        raise ValidationError(
            f"“{_short(text)}” cannot be read{where}; write {WITH_A_UNIT}, for example {EXAMPLE}.",
            code="unreadable",
        )
    found = match.groupdict()
    after = rest[match.end() :].lstrip()
    if found["plain"] is not None:
        return _plain_number(found["plain"], locale), after
    bottom = int(found["bottom"] or found["bottom_only"])
    if not bottom:
        raise ValidationError(f"“{_short(text)}” divides by nought; correct the fraction.", code="fraction")
    part = Fraction(int(found["top"] or found["top_only"]), bottom)
    if found["whole"] is not None:
        if part >= 1:
            raise ValidationError(f"The fraction in “{_short(text)}” is one or more; write it as one number.", code="fraction")
        part += int(found["whole"])
    return part, after


def _plain_number(text: str, locale: str) -> Fraction:
    """Read digits with points, commas or thin spaces, and refuse what could be read in two ways."""
    digits = text.replace(" ", "")
    marks = [sign for sign in digits if sign in ".,"]
    if not marks:
        return Fraction(digits)
    last = marks[-1]
    if len(set(marks)) == 2:
        group = "." if last == "," else ","
        if marks.count(last) > 1 or not re.fullmatch(rf"\d{{1,3}}(\{group}\d{{3}})+\{last}\d+", digits):
            raise _unclear(text)
        return Fraction(digits.replace(group, "").replace(last, "."))
    if len(marks) > 1:
        if not re.fullmatch(rf"[1-9]\d{{0,2}}(\{last}\d{{3}})+", digits):
            raise _unclear(text)
        return Fraction(digits.replace(last, ""))
    before, _, after = digits.partition(last)
    if not after:
        raise _unclear(text)
    point, _ = decimal_marks(locale)
    if last != point and len(after) == 3 and re.fullmatch(r"[1-9]\d{0,2}", before):
        raise ValidationError(
            f"“{text}” can be read as {before}{after} or as {before}{point}{after}; write it one of these ways.",
            code="ambiguous",
        )
    return Fraction(f"{before or 0}.{after}")


def _unclear(text: str) -> ValidationError:
    return ValidationError(f"The points and commas in “{_short(text)}” are not clear; write only the decimal one.", code="marks")


def _take_unit(rest: str, text: str, unit: str, *, previous: str, system: str) -> tuple[str, str]:
    """Read the unit after a number; a bare last number takes the next smaller unit after feet or hours."""
    word = re.match(r"[^\d.,+−]*(?:(?<=[a-zA-Z])[23])?(?:\s*/\s*[^\d\s]+[23]?)?", rest)
    typed = word.group().strip().rstrip(" -") if word else ""
    after = rest[word.end() :].lstrip(" ") if word else rest
    if typed.lower() in {"", "and"}:
        if previous in {"ft", "h"}:
            return {"ft": "in", "h": "min"}[previous], after
        if previous:
            raise ValidationError(f"The last number in “{_short(text)}” has no unit; write it.", code="no_unit")
        return preferred(unit, system), after
    return _key_of(typed, text, unit), after


def _key_of(typed: str, text: str, unit: str) -> str:
    wanted = unit_of(unit)
    cleaned = re.sub(r"\s*(/|\bper\b)\s*", "/", typed).rstrip(".")
    cleaned = re.sub(r"\s+and$", "", cleaned)
    kinds = wanted.kind.split("/")
    parts = cleaned.split("/")
    found = [_named(part.strip(), kind) for part, kind in zip(parts, kinds, strict=False)]
    if len(parts) == len(kinds) and all(found):
        return "/".join(str(key) for key in found)
    whole = _named(cleaned, wanted.kind)
    if whole:
        return whole
    raise _wrong_unit(cleaned, text, wanted)


def _named(word: str, kind: str) -> str | None:
    found = names(kind)
    return found.get(word) or found.get(word.lower())


def _wrong_unit(typed: str, text: str, wanted: Unit) -> ValidationError:
    known = all_names().get(typed.lower())
    symbol = wanted.symbol
    if wanted.kind == "number":
        return ValidationError(
            f"“{_short(text)}” has a unit where a plain number is wanted; leave “{_short(typed)}” out.", code="unit"
        )
    if known:
        return ValidationError(
            f"“{_short(typed)}” measures {known.kind}, but {_a(wanted.kind)} is wanted here; write it in {symbol}, for example.",
            code="unit",
        )
    return ValidationError(f"The unit “{_short(typed)}” is not known here; write it in {symbol}, for example.", code="unit")


def _a(kind: str) -> str:
    word = kind.replace("/", " per ")
    return f"{'an' if word[:1] in 'aeiou' else 'a'} {word}"


def _sum(terms: list[tuple[Fraction, str]], text: str, unit: str, *, sign: int) -> Fraction:
    """Add the parts of a compound, each smaller than one of the unit before it; the sign counts before converting."""
    if not terms:
        raise ValidationError(f"Type a number with its unit, for example {EXAMPLE}.", code="required")
    for (_, larger), (number, smaller) in pairwise(terms):
        step = None if unit_of(larger).kind == "temperature" else factor(larger, smaller)
        if step is None or step <= 1 or number >= step:
            raise ValidationError(
                f"“{_short(text)}” holds more than one amount; write one, or a larger unit before a smaller one.", code="compound"
            )
    return sum((convert(sign * number, key, unit) for number, key in terms), Fraction(0))


def _short(text: str) -> str:
    """Quote what was typed without flooding the page."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text).strip()
    return shown if len(shown) <= 30 else shown[:29] + "…"
