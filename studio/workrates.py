"""Default rates of work: what each task takes when the studio has not yet timed itself.

A pure table. Every default names its source; none of the minutes for brushing mold rubber was ever published, so the
ranges are wide and the studio's own log should replace them.
"""

from dataclasses import dataclass
from enum import StrEnum

from studio.figures import Given, Source, SourceKind


class Stage(StrEnum):
    """The stages a mold goes through, in order."""

    CLIENT = "client"
    PREPARE = "prepare"
    COATS = "coats"
    FILL = "fill"
    SHELL = "shell"
    OPEN = "open"
    CAST = "cast"
    FINISH = "finish"
    MATERIAL = "material"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "client": "Client",
            "prepare": "Preparing the piece",
            "coats": "Coats",
            "fill": "Fill",
            "shell": "Shell",
            "open": "Opening",
            "cast": "Casting",
            "finish": "Finishing and packing",
            "material": "Material habits",
        }[self.value]


# Work with glass, resin and a turning frame: nobody does it alone in the evening, between other things.
BENCH_HOURS_ONLY = frozenset({Stage.SHELL, Stage.CAST})


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRateKind:
    """One rate of work with its default, its usual range and where the default comes from."""

    key: str
    label: str
    unit: str
    default: float
    low: float
    high: float
    source: Source
    stage: Stage

    def as_given(self) -> Given:
        """Return the default as an input of a computation."""
        return Given(label=self.label, value=self.default, unit=self.unit, source=self.source, low=self.low, high=self.high)


def _practice(text: str = "") -> Source:
    return Source(kind=SourceKind.COMMON_PRACTICE, text=text)


def _memory(text: str) -> Source:
    return Source(kind=SourceKind.FROM_MEMORY, text=text)


_BRUSH = _memory(
    "no rate for brushing mold rubber was found published; oil paint by brush goes at 8 to 14 m²/h (Griffith, "
    "Carpentry), stippling thick rubber is 5 to 15 times slower"
)
_HAND = _practice("a small studio's usual minutes")
_SCRAP = _practice("about 10 minutes a kilogram for cutting and washing")
_KEYS = _practice("drafted keys of 12 to 20 mm (½ to ¾ in), every 75 to 150 mm (3 to 6 in)")
_VACUUM = Source(
    kind=SourceKind.PUBLISHED,
    text="a silicone manufacturer's moldmaking tips: 27 to 29 inHg, a container of 3 to 5 times the rubber, some grades no more "
    "than 5 min; a tooling-resin supplier: below about 28 inHg bubbles swell but do not break",
)
_LOSS = _practice("cup and brush losses of hand-laid coats; weigh what is mixed and what is laid to replace it")


def _rate(key: str, label: str, unit: str, value: tuple[float, float, float], source: Source, stage: Stage) -> WorkRateKind:
    default, low, high = value
    return WorkRateKind(key=key, label=label, unit=unit, default=default, low=low, high=high, source=source, stage=stage)


WORK_RATE_KINDS: tuple[WorkRateKind, ...] = (
    _rate("client_talk_min", "Talking to the client", "min", (90, 45, 240), _HAND, Stage.CLIENT),
    _rate("photographs_min", "Photographs and condition notes", "min", (30, 15, 60), _HAND, Stage.CLIENT),
    _rate("patch_test_min", "Making and reading a patch test", "min", (20, 10, 40), _HAND, Stage.PREPARE),
    _rate("prepare_min_per_m2", "Cleaning and mending the piece", "min/m2", (30, 10, 120), _HAND, Stage.PREPARE),
    _rate(
        "step_min",
        "Setting out and clearing one short step",
        "min",
        (8, 4, 15),
        _practice("gloves on, cloth down, can and brush out, and all of it away again, however small the piece is"),
        Stage.PREPARE,
    ),
    _rate("seal_min_per_m2", "Sealing", "min/m2", (12, 6, 30), _HAND, Stage.PREPARE),
    _rate("release_min_per_m2", "Release", "min/m2", (10, 5, 25), _HAND, Stage.PREPARE),
    _rate(
        "seal_wait_min",
        "Wait after sealing",
        "min",
        (30, 30, 120),
        Source(kind=SourceKind.PUBLISHED, text="a rubber maker: let the sealer flash off 30 min before release"),
        Stage.PREPARE,
    ),
    _rate("release_wait_min", "Wait after release", "min", (30, 10, 60), _practice(), Stage.PREPARE),
    _rate("board_min", "Board and flange, each position", "min", (60, 30, 180), _HAND, Stage.PREPARE),
    _rate("turn_min", "Turning the piece to the next position", "min", (30, 15, 90), _HAND, Stage.PREPARE),
    _rate("parting_strip_min_per_m", "Fitting a parting strip", "min/m", (12, 6, 30), _HAND, Stage.PREPARE),
    _rate("strip_pour_min_per_m", "Casting a parting strip", "min/m", (8, 4, 20), _HAND, Stage.PREPARE),
    _rate("gauge_min", "Cutting and setting one gauge block", "min", (2, 1, 5), _HAND, Stage.COATS),
    _rate("print_coat_min_per_m2", "Brushing a print coat", "min/m2", (40, 30, 60), _BRUSH, Stage.COATS),
    _rate("build_coat_min_per_m2", "Brushing a build coat", "min/m2", (20, 15, 30), _BRUSH, Stage.COATS),
    _rate(
        "closing_coat_min_per_m2",
        "Brushing and smoothing the closing coat",
        "min/m2",
        (30, 20, 45),
        _BRUSH,
        Stage.COATS,
    ),
    _rate(
        "coat_setup_min",
        "Setting up for a coat",
        "min",
        (15, 10, 20),
        _practice("gloves, cups, brushes, checking: 10 to 20 min a coat"),
        Stage.COATS,
    ),
    _rate(
        "mix_handling_min",
        "Weighing, mixing and clearing one mix",
        "min",
        (6, 5, 8),
        _practice("5 to 8 min a mix"),
        Stage.COATS,
    ),
    _rate("scrap_cut_min_per_kg", "Cutting and washing scrap", "min/kg", (10, 5, 20), _SCRAP, Stage.FILL),
    _rate("scrap_seat_min_per_kg", "Seating chunks of scrap", "min/kg", (6, 3, 12), _HAND, Stage.FILL),
    _rate("fill_min_per_l", "Placing the fill", "min/L", (8, 4, 20), _HAND, Stage.FILL),
    _rate(
        "clay_min_per_m2",
        "Laying a blanket of clay",
        "min/m2",
        (75, 30, 180),
        _practice("slabs rolled to the wall, laid edge to edge and smoothed"),
        Stage.PREPARE,
    ),
    _rate(
        "clay_out_min_per_m2",
        "Taking the clay out and cleaning the piece",
        "min/m2",
        (40, 15, 90),
        _HAND,
        Stage.PREPARE,
    ),
    _rate(
        "close_gap_min",
        "Closing the shell for a pour, with funnel and vents, each position",
        "min",
        (45, 20, 120),
        _HAND,
        Stage.PREPARE,
    ),
    _rate("box_setup_min", "Measuring and cutting the boards of a box", "min", (25, 10, 60), _HAND, Stage.PREPARE),
    _rate("box_min_per_m2", "Building and sealing a box, by its boards", "min/m2", (75, 30, 150), _HAND, Stage.PREPARE),
    _rate(
        "pour_min_per_l",
        "Pouring rubber in a thin stream",
        "min/L",
        (1.5, 0.5, 4),
        _practice("slowly, into the lowest place, so that the rubber lifts the air out"),
        Stage.COATS,
    ),
    _rate(
        "pour_bucket_kg",
        "Most that is stirred in one bucket",
        "kg",
        (8, 3, 15),
        _practice("more is hard to stir evenly, to lift and to empty in time"),
        Stage.COATS,
    ),
    _rate("reinforcement_cut_min_per_m2", "Cutting glass or fibre", "min/m2", (3, 1.5, 8), _HAND, Stage.SHELL),
    _rate("laminate_min_per_m2_layer", "Laying glass, each layer", "min/m2", (20, 12, 40), _HAND, Stage.SHELL),
    _rate("plaster_min_per_m2_layer", "Plaster and fibre, each layer", "min/m2", (12, 8, 25), _HAND, Stage.SHELL),
    _rate("putty_min_per_m2", "Pressing on putty", "min/m2", (60, 35, 120), _HAND, Stage.SHELL),
    _rate("brushed_min_per_m2_layer", "Brushing on plastic, each layer", "min/m2", (15, 8, 30), _HAND, Stage.SHELL),
    _rate("shell_piece_min", "Setting up one shell piece", "min", (45, 20, 90), _HAND, Stage.SHELL),
    _rate("shell_finish_min", "Drilling, bolting and trimming one shell piece", "min", (40, 20, 90), _HAND, Stage.SHELL),
    _rate("cradle_min", "Fitting a cradle for the rotating frame", "min", (45, 20, 120), _HAND, Stage.OPEN),
    _rate("open_min_per_piece", "Opening, each shell piece", "min", (20, 10, 60), _HAND, Stage.OPEN),
    _rate("seam_cut_min_per_m", "Cutting the seam of the blanket", "min/m", (15, 8, 30), _HAND, Stage.OPEN),
    _rate("mold_clean_min", "Cleaning and checking the mold", "min", (45, 20, 120), _HAND, Stage.OPEN),
    _rate("casting_prepare_min", "Release and closing the mold", "min", (12, 6, 30), _HAND, Stage.CAST),
    _rate(
        "casting_skin_min",
        "Mixing, pouring and turning one skin",
        "min",
        (12, 8, 20),
        Source(kind=SourceKind.PUBLISHED, text="a casting supplier: 5 to 10 min of turning a pour; mixing added"),
        Stage.CAST,
    ),
    _rate(
        "casting_skin_wait_min",
        "Wait until the skin is gelled",
        "min",
        (10, 5, 20),
        Source(kind=SourceKind.PUBLISHED, text="a casting supplier: about 10 min before the next pour"),
        Stage.CAST,
    ),
    _rate("casting_demold_min", "Taking out one casting", "min", (12, 5, 30), _HAND, Stage.CAST),
    _rate("casting_clean_min", "Cleaning the mold after a casting", "min", (6, 3, 15), _HAND, Stage.CAST),
    _rate("casting_startup_h", "Starting and closing a casting day", "h", (0.5, 0.25, 1.0), _practice(), Stage.CAST),
    _rate("shift_h", "Length of a working day", "h", (8, 4, 12), _practice(), Stage.CAST),
    _rate("seam_min_per_m", "Trimming a casting's seam", "min/m", (15, 8, 40), _HAND, Stage.FINISH),
    _rate("finish_each_min", "Taking up and looking over one casting", "min", (6, 3, 15), _HAND, Stage.FINISH),
    _rate("finish_min_per_m2", "Patching and finishing a casting", "min/m2", (30, 10, 120), _HAND, Stage.FINISH),
    _rate("packing_min", "Packing one casting", "min", (15, 8, 40), _HAND, Stage.FINISH),
    _rate("blanket_loss_percent", "Left in cups and brushes", "%", (7.5, 5, 10), _LOSS, Stage.MATERIAL),
    _rate(
        "detail_loss_percent",
        "Left in cups and brushes, small detailed piece",
        "%",
        (20, 15, 25),
        _LOSS,
        Stage.MATERIAL,
    ),
    _rate(
        "pour_loss_percent",
        "Left in buckets, funnel and vents of a pour",
        "%",
        (4, 2, 8),
        _practice("a pour leaves less behind than brushes do; weigh the buckets to replace it"),
        Stage.MATERIAL,
    ),
    _rate(
        "shell_loss_percent",
        "Shell material lost in cups, brushes and trimming",
        "%",
        (8, 4, 15),
        _practice(),
        Stage.MATERIAL,
    ),
    _rate("resin_loss_percent", "Casting resin left in cups and vents", "%", (5, 2, 12), _practice(), Stage.MATERIAL),
    _rate("pot_life_usable_share", "Usable share of the pot life", "1", (0.85, 0.7, 0.95), _practice(), Stage.MATERIAL),
    _rate("mix_min", "Minutes of mixing inside the pot life", "min", (4, 2, 8), _practice(), Stage.MATERIAL),
    _rate(
        "sag_factor",
        "Share of the held thickness to count on",
        "1",
        (0.8, 0.6, 0.9),
        _practice("a sag factor of at most 0.8"),
        Stage.MATERIAL,
    ),
    _rate(
        "strip_pin_spacing_mm",
        "Between the pins of a parting strip",
        "mm",
        (50, 30, 100),
        _practice("steel pins or brads, drawn before the rubber over them sets hard"),
        Stage.MATERIAL,
    ),
    _rate("strip_glue_mm", "Fresh rubber under a parting strip", "mm", (1, 0.5, 2), _practice(), Stage.MATERIAL),
    _rate(
        "room_warm_h",
        "Hours a day that the room is as warm as by day",
        "h",
        (10, 8, 24),
        _practice("heated from the morning until work ends"),
        Stage.MATERIAL,
    ),
    _rate("face_cover_mm", "Fresh rubber kept between scrap and face", "mm", (5, 5, 10), _practice(), Stage.MATERIAL),
    _rate(
        "lift_limit_kg",
        "Heaviest single lift",
        "kg",
        (23, 15, 25),
        _memory("load constant of the NIOSH lifting equation; lower for most real lifts"),
        Stage.MATERIAL,
    ),
    _rate(
        "coat_cv_percent",
        "Unevenness of one brushed coat (coefficient of variation)",
        "%",
        (20, 10, 30),
        _memory("no survey of hand-laid coats was found; measure ten spots of an opened blanket to replace it"),
        Stage.MATERIAL,
    ),
    _rate("key_base_mm", "Width of a key at its foot", "mm", (20, 12, 20), _KEYS, Stage.MATERIAL),
    _rate("key_height_mm", "Height of a key", "mm", (12, 8, 15), _KEYS, Stage.MATERIAL),
    _rate("key_spacing_mm", "Between keys", "mm", (100, 75, 150), _KEYS, Stage.MATERIAL),
    _rate("key_min", "Shaping and setting one key", "min", (0.7, 0.3, 2), _HAND, Stage.COATS),
    _rate(
        "altitude_m",
        "Height of the workshop above the sea",
        "m",
        (0, 0, 2500),
        _practice("type your own: it decides what a vacuum gauge can show"),
        Stage.MATERIAL,
    ),
    _rate("vacuum_abs_kpa", "Absolute pressure that the vacuum reaches", "kPa", (3.1, 1.5, 6.5), _VACUUM, Stage.MATERIAL),
    _rate("vacuum_container_times", "Vacuum container, times the rubber in it", "1", (4, 3, 5), _VACUUM, Stage.MATERIAL),
    _rate("vacuum_min", "In the vacuum, each mix", "min", (5, 2, 5), _VACUUM, Stage.COATS),
    _rate("mold_rest_h", "Rest of a tin rubber mold before resin", "h", (48, 24, 72), _practice(), Stage.MATERIAL),
    _rate(
        "laminate_heat_min",
        "Until the heat of wet layers has passed",
        "min",
        (60, 30, 180),
        _practice("until the back of the hand feels no warmth"),
        Stage.SHELL,
    ),
    _rate(
        "bolt_spacing_mm",
        "Between bolts of the shell's flanges",
        "mm",
        (125, 100, 150),
        _practice("M6 to M8 (¼ to 5/16 in) at 100 to 150 mm (4 to 6 in)"),
        Stage.MATERIAL,
    ),
    _rate(
        "cradle_share_percent",
        "Cradle, as a share of the closed mold that it carries",
        "%",
        (20, 10, 40),
        _practice("a bolted frame of timber or steel; weigh your own"),
        Stage.MATERIAL,
    ),
    _rate(
        "frame_limit_kg",
        "What the rotating frame may carry",
        "kg",
        (100, 50, 150),
        _practice("small frames built for hand turning; the plate on the frame decides"),
        Stage.MATERIAL,
    ),
    _rate(
        "frame_offset_percent",
        "Mass centre off the axis, as a share of the longest side",
        "%",
        (5, 2, 15),
        _practice("a mold set in its cradle by eye; balance it by hand to learn your own"),
        Stage.MATERIAL,
    ),
    _rate(
        "counterweight_arm_mm",
        "Arm of the counterweight, from the axis",
        "mm",
        (300, 150, 600),
        _practice("where a frame has room for one; measure yours"),
        Stage.MATERIAL,
    ),
    _rate(
        "use_temp_c",
        "Temperature at which a casting is measured and used",
        "degC",
        (21, 18, 25),
        _practice("a heated room"),
        Stage.MATERIAL,
    ),
)

WORK_RATES: dict[str, WorkRateKind] = {kind.key: kind for kind in WORK_RATE_KINDS}


def default_rates() -> dict[str, Given]:
    """Return every default rate as an input of a computation, by key."""
    return {kind.key: kind.as_given() for kind in WORK_RATE_KINDS}
