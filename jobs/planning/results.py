"""What a plan consists of: coats, mixes, fill, shell, castings, tasks and needs, every number with its working."""

from dataclasses import dataclass
from enum import StrEnum

from materials.science.compatibility import Verdict
from studio.figures import Caution, Figure, Given, Remark
from studio.workrates import Stage


class CoatRole(StrEnum):
    """What a coat is for."""

    PRINT = "print"
    BUILD = "build"
    CLOSING = "closing"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return f"{self.value.capitalize()} coat"


class Component(StrEnum):
    """What goes into a cup or onto a shell."""

    A = "A"
    B = "B"
    ONE_PART = "one part"
    THICKENER = "thickener"
    TINT = "tint"
    REINFORCEMENT = "reinforcement"
    WATER = "water"
    RELEASE = "release"
    SEALER = "sealer"
    SCRAP = "scrap"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One ingredient weighed into a mix; `mass` in grams. Water has no material key."""

    component: Component
    label: str
    material_key: int | str | None
    mass: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """One cup: what is weighed in (`mass`, g) and what of it ends on the work (`net_mass`, g)."""

    number: int
    mass: Figure
    net_mass: Figure
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """One layer of the blanket.

    Thickness in mm, volume in L, masses in g, times in min. `earliest_next` and `latest_next` count from the end of
    this coat at the day's temperature; `latest_next` None means that no limit is known. `leave_overnight` tells
    whether the work may rest after this coat until the next day.
    """

    number: int
    role: CoatRole
    thickness: Figure
    area: Figure
    volume: Figure
    net_mass: Figure
    mixed_mass: Figure
    mix_cap: Figure
    mixes: tuple[Mix, ...]
    minutes: Figure
    thickened: bool
    tinted: bool
    earliest_next: Figure
    latest_next: Figure | None
    leave_overnight: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FillPlan:
    """The fill: volume (L), what of it is scrap (g) and what fresh rubber (g), and its mixes.

    `scrap_mass` is the scrap that is used; `scrap_wished` what the wanted share would take; `scrap_room` what finds room in
    the fill, None where the shape does not tell.
    """

    volume: Figure
    scrap_mass: Figure
    scrap_wished: Figure
    fresh_volume: Figure
    net_mass: Figure
    mixed_mass: Figure
    mixes: tuple[Mix, ...]
    minutes: Figure
    scrap_room: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellPlan:
    """The shell: area with flanges (m²), thickness (mm), masses (g), and what goes into it.

    `piece_mass` is the heaviest piece where the pieces are known by the shape, the mean otherwise; `piece_masses` are all.
    """

    label: str
    pieces: int
    area: Figure
    thickness: Figure
    mass: Figure
    piece_mass: Figure
    piece_masses: tuple[Figure, ...]
    parts: tuple[Part, ...]
    minutes: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class CastingPlan:
    """One casting and the run: resin (g), skins, minutes, how many a day, and the size that comes out (mm)."""

    count: int
    skins: int
    skin_thickness: Figure
    shot_mass: Figure
    casting_mass: Figure
    mixed_mass: Figure
    skin_mass: Figure
    skin_parts: tuple[Part, ...]
    film_limit: Figure | None
    size: Figure | None
    minutes_each: Figure
    cycle: Figure
    per_day: Figure
    days: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A piece of work: hands-on `minutes`, people, where, the wait after it, and the tasks it waits for by key."""

    key: str
    label: str
    stage: Stage
    minutes: Figure
    people: int = 1
    station: str = "bench"
    wait_after_min: float = 0.0
    latest_next_min: float | None = None
    waits_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A material to have at hand: `mass` in grams and what it is for."""

    material_key: int | str
    name: str
    component: Component
    mass: Figure
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cautions:
    """Cautions by the work they belong to; one that belongs to several stands at each."""

    blanket: tuple[Caution, ...]
    shell: tuple[Caution, ...]
    castings: tuple[Caution, ...]

    def every(self) -> tuple[Caution, ...]:
        """Return all of them, each once, in the order of the work."""
        return tuple({caution.key: caution for caution in (*self.blanket, *self.shell, *self.castings)}.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldPlan:
    """How the mold is made and the run is cast; totals are figures (g, h, counts).

    `blanket_cure` is the rest in min before the shell; `mold_hours` leaves out casting and finishing the run.
    """

    coats: tuple[Coat, ...]
    fill: FillPlan | None
    shell: ShellPlan | None
    casting: CastingPlan | None
    tasks: tuple[Task, ...]
    needs: tuple[Need, ...]
    rubber_net: Figure
    rubber_fresh: Figure
    scrap: Figure
    coats_count: Figure
    mixes_count: Figure
    blanket_mass: Figure
    mold_hours: Figure
    hours_hands_on: Figure
    resin_total: Figure | None
    shell_mass: Figure | None
    cautions: Cautions
    remarks: tuple[Remark, ...]
    verdict: Verdict
    positions: int
    positions_count: Figure
    seam: Figure
    people_per_coat: int
    temperature: Given
    blanket_cure: Figure
