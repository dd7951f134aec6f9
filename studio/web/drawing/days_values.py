"""What a drawing of the days ahead is made of: work in time, who and what it needs, and the stretch of time that is drawn."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from zoneinfo import ZoneInfo

Moment = datetime.datetime
Stretch = tuple[Moment, Moment]
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One task in time: hands on from `begins` to `ends`, what cures after it, and the window for what follows.

    `people` and `station` are keys of the bands that it stands in. `held_until` is how long the station stays taken, `closes`
    the last moment for what follows, `late_min` how long after its own window it begins. `was` and `was_people` say where it
    stood before it moved.
    """

    job: int
    label: str
    begins: Moment
    ends: Moment
    people: tuple[str, ...] = ()
    station: str = ""
    held_until: Moment | None = None
    cures_until: Moment | None = None
    closes: Moment | None = None
    late_min: int = 0
    unattended: bool = True
    pinned: bool = False
    visit: bool = False
    done: bool = False
    was: Stretch | None = None
    was_people: tuple[str, ...] = ()

    @property
    def opens(self) -> Moment:
        """When what follows may begin."""
        return self.cures_until or self.ends

    @property
    def over(self) -> Moment:
        """When the last of it that a drawing shows is over."""
        return max(at for at in (self.ends, self.held_until, self.cures_until, self.closes) if at is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A person or a station: its name, and when somebody works there; without hours nothing of it is shaded."""

    label: str
    open: tuple[Stretch, ...] = ()

    def open_as(self, hours: tuple[Stretch, ...]) -> "Band":
        """Return the band with the studio's hours where it has none of its own."""
        return self if self.open else Band(label=self.label, open=hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRow:
    """A job's own row: its name, the end of the day that it is promised for, and whether it will be ready after that."""

    label: str
    promised: Moment | None = None
    late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysPlan:
    """All that is drawn: work, the bands of people and stations by key, the rows of jobs by number, and the moment at hand."""

    work: Sequence[Work]
    people: Mapping[str, Band]
    stations: Mapping[str, Band]
    pieces: Mapping[int, PieceRow]
    now: Moment
    zone: ZoneInfo
    open: tuple[Stretch, ...] = field(default=())


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Whole days drawn to one scale of real hours: a day of 23 hours is narrower than one of 25."""

    first: datetime.date
    days: int
    zone: ZoneInfo
    left: float
    px_per_h: float
    text: float
    named: bool

    def starts(self) -> list[tuple[datetime.date, Moment]]:
        """Return the days with their first moment, and the day after the last."""
        days = [self.first + datetime.timedelta(days=number) for number in range(self.days + 1)]
        return [(on, datetime.datetime.combine(on, datetime.time(), tzinfo=self.zone)) for on in days]

    @cached_property
    def begins(self) -> Moment:
        """The first moment."""
        return self.starts()[0][1]

    @cached_property
    def ends(self) -> Moment:
        """The moment after the last."""
        return self.starts()[-1][1]

    @cached_property
    def _begins_s(self) -> float:
        return self.begins.timestamp()

    @cached_property
    def right(self) -> float:
        """Where the last day ends."""
        return self.x(self.ends)

    def x(self, moment: Moment) -> float:
        """Return where a moment lies; real hours are counted, not those of the clock."""
        return self.left + (moment.timestamp() - self._begins_s) / HOUR_S * self.px_per_h

    def cut(self, begins: Moment, ends: Moment) -> tuple[float, float] | None:
        """Return the part of a stretch that lies on the sheet, None where nothing of it does."""
        left, right = max(self.x(begins), self.left), min(self.x(ends), self.right)
        return (left, right) if right > left else None

    def wide(self, words: str) -> float:
        """Return about how wide words are, rather more than less."""
        return len(words) * self.text * 0.56
