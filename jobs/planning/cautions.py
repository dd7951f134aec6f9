"""The usual cautions for the materials and machines of a plan; they never promise safety."""

from jobs.planning.brief import PlanBrief, ShellKind
from jobs.planning.results import Cautions, Task
from jobs.planning.rubber.mix_minutes import air_minutes_per_mix
from jobs.planning.work.work import VACUUM_CHAMBER, plain_key
from materials.properties import Chemistry
from materials.science.plaster import BURNS_FROM, HOTTEST
from studio.figures import Caution, Source, SourceKind
from studio.workrates import Stage

SHEETS = Caution(
    key="sheets",
    hazard="Every material here has its own hazards",
    consequence="What this plan says does not cover them all",
    avoid="Read each safety data sheet and label first, and follow local codes and licensed practice.",
)
ISOCYANATE = Caution(
    key="isocyanate",
    hazard="Isocyanates in polyurethane",
    consequence="They sensitise lungs and skin for good, without warning by smell",
    avoid="Ventilate, wear gloves and the breathing protection the data sheet names; keep proof of training where "
    "the law asks for it.",
    source=Source(kind=SourceKind.STANDARD, text="Regulation (EU) 2020/1149; Directive (EU) 2024/869"),
)
STYRENE = Caution(
    key="styrene",
    hazard="Styrene from polyester",
    consequence="Vapour dulls, irritates, and burns",
    avoid="Work in moving air with organic-vapour filters, no flame or spark, and cover what is not in use.",
    source=Source(kind=SourceKind.PUBLISHED, text="OSHA chemical sampling page, styrene"),
)
PEROXIDE = Caution(
    key="peroxide",
    hazard="Peroxide catalyst",
    consequence="It destroys eyes, and explodes when it meets cobalt accelerator directly",
    avoid="Wear goggles, measure small amounts, never mix peroxide with accelerator, store it cool and apart.",
    source=Source(kind=SourceKind.PUBLISHED, text="a boat builder's manual"),
)
EPOXY = Caution(
    key="epoxy",
    hazard="Epoxy resin and amine hardener",
    consequence="They sensitise skin for good",
    avoid="Wear nitrile gloves and change them when they are soiled; no cream replaces them.",
)
TIN = Caution(
    key="tin",
    hazard="Tin catalyst",
    consequence="It irritates, and some catalysts sensitise and harm on long contact",
    avoid="Wear nitrile gloves and goggles, and ventilate while alcohol leaves the rubber.",
)
PLASTER = Caution(
    key="plaster",
    hazard=f"Setting plaster heats to about {HOTTEST.value:g} °C ({HOTTEST.value * 1.8 + 32:g} °F) in bulk, and its dust is fine",
    consequence=(
        f"It burns skin it encloses, from about {BURNS_FROM.value:g} °C ({BURNS_FROM.value * 1.8 + 32:g} °F) on; dust harms lungs"
    ),
    avoid="Never enclose any part of the body; weigh powder without raising dust, with a dust mask.",
    source=Source(kind=SourceKind.PUBLISHED, text="a national art-education safety note"),
)
GLASS = Caution(
    key="glass",
    hazard="Glass fibre and its sanding dust",
    consequence="They irritate skin, eyes and airways",
    avoid="Wear gloves, sleeves and a dust mask; trim while green, sand wet or with extraction.",
)
FRAME = Caution(
    key="frame",
    hazard="A turning frame",
    consequence="It catches hair, sleeves and hands, and throws a mold that is badly held",
    avoid="Run it only inside its interlocked guard, balance the load, stop it before reaching in.",
    source=Source(kind=SourceKind.STANDARD, text="OSHA 1910.212(a)(4)"),
)
ALONE = Caution(
    key="alone",
    hazard="Working alone at night",
    consequence="Nobody helps when something catches, burns or overcomes you",
    avoid="Leave vacuum, turning, grinding, peroxide and large pours for the day; agree a time to check in.",
)
LIFT = Caution(
    key="lift",
    hazard="A heavy lift",
    consequence="It hurts backs and drops molds",
    avoid="Lift with two, use a hoist, or divide the shell into more pieces.",
)

SOLVENT = Caution(
    key="solvent",
    hazard="Solvent in sealers and releases",
    consequence="Vapour burns, and it dulls whoever breathes it",
    avoid="Work in moving air without flame or spark, and let it flash off before the piece is covered.",
)
BLADE = Caution(
    key="blade",
    hazard="A sharp blade in tough rubber or glass cloth",
    consequence="It slips and cuts the hand that holds the work",
    avoid="Cut away from yourself on a firm bed, wear a cut-resistant glove on the holding hand, change blades often.",
)
DUST = Caution(
    key="dust",
    hazard="Dust of trimmed and sanded castings",
    consequence="It harms lungs, more so with mineral fillers",
    avoid="Sand wet or with extraction, and wear the dust mask that the data sheet of the resin and its filler names.",
    source=Source(kind=SourceKind.STANDARD, text="OSHA limit of respirable crystalline silica, 50 µg/m³"),
)
TURN = Caution(
    key="turn",
    hazard="Turning a heavy piece with soft rubber on it",
    consequence="It hurts backs and fingers, and a piece that falls is lost",
    avoid="Weigh it first, turn it with two or a hoist, and have its bed ready before it is lifted.",
)
VACUUM = Caution(
    key="vacuum",
    hazard="A vacuum chamber",
    consequence="A cracked lid bursts inwards; air presses on a lid of 300 mm (12 in) with about 7 kN (1600 lbf)",
    avoid="Look for crazing before each use, keep solvents off acrylic, put a guard before it, never leave it pumping alone.",
    source=Source(kind=SourceKind.COMPUTED, text="air pressure × area of the lid"),
)

_OF_CHEMISTRY: dict[Chemistry, tuple[Caution, ...]] = {
    Chemistry.POLYURETHANE: (ISOCYANATE,),
    Chemistry.POLYESTER: (STYRENE, PEROXIDE),
    Chemistry.EPOXY: (EPOXY,),
    Chemistry.TIN_SILICONE: (TIN,),
    Chemistry.GYPSUM: (PLASTER,),
}


def plan_cautions(brief: PlanBrief, *, heavy: bool) -> Cautions:
    """List the cautions for this plan by the work they belong to, each once there."""
    drawn = () if air_minutes_per_mix(brief) is None else (VACUUM,)
    blanket = [SHEETS, *_OF_CHEMISTRY.get(brief.rubber.chemistry, ()), *drawn, ALONE]
    # With a shell the lift is said there; a block is lifted by itself.
    blanket += [LIFT] if heavy and brief.shell is None else []
    shell, castings = [], []
    if brief.shell is not None:
        shell = [SHEETS, *_OF_CHEMISTRY.get(brief.shell.material.chemistry, ())]
        shell += [GLASS] if brief.shell.kind is ShellKind.LAMINATE else []
        shell += [LIFT, ALONE] if heavy else [ALONE]
    if brief.casting is not None:
        castings = [SHEETS, *_OF_CHEMISTRY.get(brief.casting.resin.chemistry, ()), FRAME, ALONE]
    return Cautions(blanket=tuple(blanket), shell=tuple(shell), castings=tuple(castings))


def task_cautions(task: Task, brief: PlanBrief, *, heavy: bool) -> tuple[Caution, ...]:
    """List the cautions for one piece of work, each once, the data sheets first where a material is opened.

    Like all cautions they name the usual hazards alone and promise no safety.
    """
    drawn = (VACUUM, ALONE) if task.station == VACUUM_CHAMBER else ()
    found = (*_of_task(plain_key(task.key), task.stage, brief), *drawn)
    return tuple({caution.key: caution for caution in found if heavy or caution is not LIFT}.values())


def _of_task(key: str, stage: Stage, brief: PlanBrief) -> tuple[Caution, ...]:
    rubber = _OF_CHEMISTRY.get(brief.rubber.chemistry, ())
    of_key: dict[str, tuple[Caution, ...]] = {
        "seal": (SHEETS, SOLVENT),
        "release": (SHEETS, SOLVENT),
        "strip_pour": (SHEETS, *rubber),
        "patch_test": (SHEETS, *rubber),
        "cut_scrap": (BLADE,),
        "reinforcement_cut": (SHEETS, GLASS, BLADE),
        "gauges": (BLADE,),
        "turn": (TURN,),
        "seam_cut": (BLADE,),
        "open": (LIFT,),
        "cradle": (LIFT,),
        "trim": (DUST, BLADE),
        "finishing": (DUST,),
    }
    if key in of_key:
        return of_key[key]
    if stage in (Stage.COATS, Stage.FILL):
        return (SHEETS, *rubber)
    if stage is Stage.SHELL and brief.shell is not None:
        glass = (GLASS,) if brief.shell.kind is ShellKind.LAMINATE else ()
        return (SHEETS, *_OF_CHEMISTRY.get(brief.shell.material.chemistry, ()), *glass, LIFT)
    if stage is Stage.CAST and brief.casting is not None:
        return (SHEETS, *_OF_CHEMISTRY.get(brief.casting.resin.chemistry, ()), FRAME, ALONE)
    return ()
