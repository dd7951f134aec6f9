"""What a plan consists of: coats, mixes, fill, shell, castings, tasks and needs, every number with its working."""

from dataclasses import dataclass
from enum import StrEnum

from jobs.planning.brief import Deairing, Making
from jobs.planning.pours.results import BoxPlan, ClayPlan
from jobs.planning.run.results import FramePlan, LifePlan
from jobs.planning.shell.results import Lift
from materials.science.compatibility import Verdict
from studio.figures import Caution, Figure, Given, Remark, Source
from studio.workrates import Stage


class CoatRole(StrEnum):
    """What a coat is for."""

    PRINT = "print"
    BUILD = "build"
    CLOSING = "closing"
    POUR = "pour"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return "Pour" if self is CoatRole.POUR else f"{self.value.capitalize()} coat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One sentence for or against something: `tone` is "good", "look" or "stop", with its source and the figures behind it."""

    text: str
    tone: str
    source: Source
    figures: tuple[Figure, ...] = ()


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
    """One cup: what is weighed in (`mass`, g) and what of it ends on the work (`net_mass`, g), laid at one position."""

    number: int
    mass: Figure
    net_mass: Figure
    parts: tuple[Part, ...]
    position: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatPlace:
    """A coat at one position: the surface worked there (m²), mass on the piece (g), its mixes and hands-on minutes."""

    position: int
    area: Figure
    net_mass: Figure
    mixed_mass: Figure
    mixes: tuple[Mix, ...]
    minutes: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """One layer of the blanket.

    Thickness in mm, volume in L, masses in g, times in min. `earliest_next` and `latest_next` count from the end of
    this coat at the day's temperature; `latest_next` None means that no limit is known. `leave_overnight` tells
    whether the work may rest after this coat until the next day; `earliest_by_night` is the earliest next coat when a colder
    night lies between, None where the nights are as warm or not known.
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
    earliest_by_night: Figure | None = None
    places: tuple[CoatPlace, ...] = ()


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
class StripPlan:
    """The parting strip, cast in a strip mold before it is glued on: sizes in mm, length in m, masses in g, `cure` in min.

    `net_mass`, `mixed_mass` and `mixes` are those of the strip; the `glue` is fresh rubber mixed when it is fitted.
    """

    length: Figure
    width: Figure
    height: Figure
    net_mass: Figure
    mixed_mass: Figure
    mixes: tuple[Mix, ...]
    pins: Figure
    cure: Figure
    glue_mass: Figure | None = None
    glue_mixed: Figure | None = None
    glue_mixes: tuple[Mix, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePlan:
    """Gauge blocks to bury: how many, how high (mm), their rubber (g), and how many prove flats, crowns and thin spots."""

    count: Figure
    height: Figure
    mass: Figure
    spots: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandPlan:
    """Whether the blanket finds its seat: the height it stands by itself (m), keys, ribs, and the widest bare gap (mm).

    `ribs` None means that none is wanted, that none of a height to build would do, or that the stiffness is not known;
    `widest_gap` None that none is spanned or that it is not known. `key_mass` (g) stays on the blanket, `key_mixed` is mixed.
    """

    freestanding: Figure | None
    tallest: Figure
    keys: Figure
    key_spacing: Figure
    key_mass: Figure
    key_mixed: Figure
    key_mixes: tuple[Mix, ...]
    ribs: Figure | None
    rib_height: Figure | None
    widest_gap: Figure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirPlan:
    """How air gets out: what is taken and why, with the bubbles that stay (mm) and the vacuum that it wants."""

    way: Deairing
    suggested: Deairing
    reasons: tuple[Reason, ...]
    smallest_leaving: Figure | None
    clears: Figure | None
    foam: Figure | None
    container: Figure | None
    minutes: Figure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallAdvice:
    """The wall that is advised (mm), why, and where it must be thicker."""

    advised: Figure
    mean: Figure
    reasons: tuple[Reason, ...]
    thicker_at: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """One thing that goes wrong in the trade, with the number of this plan that warns of it.

    `tone` is "good", "look" or "stop"; `figures` are what decides; `words` says what they mean here, `remedy` what to do.
    """

    key: str
    name: str
    sign: str
    tone: str
    words: str
    remedy: str
    figures: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellPlan:
    """The shell: area with flanges (m²), thickness (mm), masses (g), and what goes into it.

    `piece_mass` is the heaviest piece where the pieces are known by the shape, the mean otherwise; `piece_masses` are all.
    `wet_mass` is what plaster weighs before it dries. `bolts` close the flanges; `sessions` says how often layers are laid with
    the heat of the last ones passed; `catalyst` is peroxide.
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
    lifts: tuple[Lift, ...] = ()
    bolts: Figure | None = None
    sessions: Figure | None = None
    catalyst: Figure | None = None
    wet_mass: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinStep:
    """One skin of a casting: resin to mix (g), wall it adds (mm), minutes to turn it, and when the next may follow (min)."""

    number: int
    mass: Figure
    thickness: Figure
    turning: Figure
    earliest_next: Figure
    latest_next: Figure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CastingPlan:
    """One casting and the run: resin (g), skins, minutes, how many a day, and the size that comes out (mm).

    `oversize` is in %, `heat_rise` in K, `warm_loss` in mm and None where the room is not warmer than use.
    """

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
    steps: tuple[SkinStep, ...] = ()
    film_at_gel: Figure | None = None
    heat_rise: Figure | None = None
    oversize: Figure | None = None
    demold: Figure | None = None
    warm_loss: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A piece of work: hands-on `minutes`, people, where, the wait after it, and the tasks it waits for by key.

    `earliest_h` and `latest_h` are hours from the start of the mold, round the clock: no earlier because of what it waits
    for, no later without moving the end or missing a window; nobody sleeps in them, and no hands run short. `latest_next_min`
    bounds the begin of every task that waits for this one. `unattended` says that what follows may cure alone. `position` is
    None where there is only one.
    """

    key: str
    label: str
    stage: Stage
    minutes: Figure
    people: int = 1
    station: str = "bench"
    wait_after_min: float = 0.0
    latest_next_min: float | None = None
    waits_for: tuple[str, ...] = ()
    position: int | None = None
    unattended: bool = True
    earliest_h: float = 0.0
    latest_h: float | None = None
    cautions: tuple[Caution, ...] = ()


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

    `blanket_cure` is the rest in min before the shell; `mold_hours` leaves out casting and finishing the run. `lifts` are those
    of one mold, with or without a shell.
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
    making: Making = Making.BRUSHED
    molds: int = 1
    clay: ClayPlan | None = None
    box: BoxPlan | None = None
    strip: StripPlan | None = None
    gauges: GaugePlan | None = None
    stand: StandPlan | None = None
    air: AirPlan | None = None
    wall_advice: WallAdvice | None = None
    frame: FramePlan | None = None
    life: LifePlan | None = None
    stretch: Figure | None = None
    lifts: tuple[Lift, ...] = ()
    troubles: tuple[Trouble, ...] = ()
