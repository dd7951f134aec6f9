"""Computed numbers that carry their own working.

Every number the studio shows opens to its formula, its inputs and where those come from. The pure cores return
`Figure`; pages and prints unfold it. Standard library only: everything else may import this module.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum


class WorkingError(ValueError):
    """A computation was refused; the message tells the person what to change."""


class SourceKind(StrEnum):
    """Where a number comes from, in the words shown beside it."""

    PUBLISHED = "published"
    STANDARD = "standard"
    COMMON_PRACTICE = "common practice, no source"
    FROM_MEMORY = "from memory, check"
    DATA_SHEET = "data sheet"
    OWN = "the studio's own"
    MEASURED = "measured"
    TYPED = "typed for this job"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a number comes from; `text` names the publication, table or person."""

    kind: SourceKind
    text: str = ""


COMPUTED = Source(kind=SourceKind.COMPUTED)
TYPED = Source(kind=SourceKind.TYPED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """An input of a computation: a measured, published or typed number with its range.

    `unit` is one of the symbols that `studio.web.quantities` can show ("g", "mm", "m2", "L", "min", "degC", "%",
    "1", "money", "money/h", "money/kg", ...). `low` and `high` bound it where a range is known.
    """

    label: str
    value: float
    unit: str
    source: Source = TYPED
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A computed number with its formula in the trade's terms and the inputs that went in.

    `key` is stable and unique in one result (it names the DOM id and pairs old with new values); `given` may hold
    figures, which open in turn. `low` and `high` are its spread where one is known.
    """

    key: str
    label: str
    value: float
    unit: str
    formula: str
    given: "tuple[Given | Figure, ...]" = ()
    source: Source = COMPUTED
    low: float | None = None
    high: float | None = None
    note: str = ""

    def renamed(self, *, key: str, label: str) -> "Figure":
        """Return the same number under another key and label."""
        return replace(self, key=key, label=label)


def low_end(part: Given | Figure) -> float:
    """Return the low end of a number's range, or the number where it has none."""
    return part.value if part.low is None else part.low


def high_end(part: Given | Figure) -> float:
    """Return the high end of a number's range, or the number where it has none."""
    return part.value if part.high is None else part.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A line of warning: the hazard, what it does to whom, and how to avoid it."""

    key: str
    hazard: str
    consequence: str
    avoid: str
    source: Source = Source(kind=SourceKind.COMMON_PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something the plan wants the person to look at: `tone` is "look" (today) or "stop" (can spoil the mold)."""

    key: str
    text: str
    tone: str = "look"
    figures: tuple[Figure, ...] = field(default=())


def given_from(values: Mapping[str, Given], key: str, *, wanted_for: str) -> Given:
    """Look up an input by key, or refuse with a sentence that says what it is wanted for."""
    try:
        return values[key]
    except KeyError:
        raise WorkingError(f"A value for “{key.replace('_', ' ')}” is missing; it is needed for {wanted_for}.") from None
