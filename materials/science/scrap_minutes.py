"""The studio's own minutes for a kilogram of scrap, from the sessions that it noted."""

from collections.abc import Sequence
from dataclasses import dataclass

from materials.science.checks import above_nought
from materials.science.errors import OutsideRange, TooFewTimings
from studio.figures import Figure, Source, SourceKind

# One session tells of one mold; a second shows at least whether they differ (common practice, no source).
LEAST_SESSIONS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One session: what was cut or seated, and how long it took."""

    mass_g: float
    minutes: float


def minutes_per_kg(sessions: Sequence[Session], *, key: str, label: str) -> Figure:
    """Compute minutes per kilogram over all sessions [min/kg]; the range is that of the quickest and the slowest.

    All minutes over all kilograms, not the mean of the sessions' rates: a handful cut in passing would weigh as much as a whole
    mold, and what a plan wants is the time for kilograms.

    Raises
    ------
    TooFewTimings
        Without a session.
    OutsideRange
        When a session has no mass or took no time.
    """
    if not sessions:
        raise TooFewTimings("No session was noted yet.")
    if not above_nought(*(value for one in sessions for value in (one.mass_g, one.minutes))):
        raise OutsideRange("A session needs a mass and minutes above nought.")
    rates = [1000 * one.minutes / one.mass_g for one in sessions]
    many = len(sessions) > 1
    return Figure(
        key=key, label=label, value=1000 * sum(one.minutes for one in sessions) / sum(one.mass_g for one in sessions),
        unit="min/kg", formula="minutes of all sessions ÷ mass of all sessions",
        source=Source(kind=SourceKind.OWN, text=f"{len(sessions)} session{'s' if many else ''} noted"),
        low=min(rates) if many else None, high=max(rates) if many else None,
    )  # fmt: skip
