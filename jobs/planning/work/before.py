"""Work before the first coat: the client, the piece, its board, and what is made ready beside it."""

from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import Task
from jobs.planning.sums import count, scaled
from jobs.planning.work.work import OFFICE, Work, and_mixes, and_more, as_rated, at_position, times
from studio.figures import Figure
from studio.workrates import Stage

CUT_SCRAP, POUR_STRIP, CUT_REINFORCEMENT = "cut_scrap", "strip_pour", "reinforcement_cut"
PHOTOGRAPHS, PREPARE, BOARD, PATCH = "photographs", "prepare", "board", "patch_test"
BY_AREA, SET_OUT = "surface × minutes per area", "setting out"


def client_tasks(brief: PlanBrief) -> list[Task]:
    """List what is done with the client; it runs beside the work at the bench."""
    return [
        Task(key="client_talk", label="Talk to the client", stage=Stage.CLIENT, station=OFFICE,
             minutes=as_rated("client_talk", "Talking to the client", rate(brief.rates, "client_talk_min"))),
        Task(key=PHOTOGRAPHS, label="Photograph the piece and note its condition", stage=Stage.CLIENT,
             station=OFFICE, minutes=as_rated(PHOTOGRAPHS, "Photographs", rate(brief.rates, "photographs_min"))),
    ]  # fmt: skip


def beside_tasks(brief: PlanBrief, work: Work) -> list[Task]:
    """List what waits for nothing and can be done early: the strip is cast, scrap cut, glass or fibre cut."""
    tasks: list[Task] = []
    if work.strip is not None:
        pouring = rate(brief.rates, "strip_pour_min_per_m")
        minutes = and_mixes(
            times(POUR_STRIP, "Casting the parting strip", pouring, work.strip.length, "length × minutes per metre"),
            rate(brief.rates, "mix_handling_min"), len(work.strip.mixes),
        )  # fmt: skip
        tasks.append(
            Task(key=POUR_STRIP, label="Cast the parting strip in its strip mold", stage=Stage.PREPARE, minutes=minutes,
                 wait_after_min=work.strip.cure.value)
        )  # fmt: skip
    if work.fill is not None and work.fill.scrap_mass.value > 0:
        kilos = scaled(work.fill.scrap_mass, 0.001, key="scrap_kg", label="Scrap", unit="kg", formula="scrap used")
        cutting = rate(brief.rates, "scrap_cut_min_per_kg")
        tasks.append(
            Task(key=CUT_SCRAP, label="Cut and wash the scrap", stage=Stage.FILL,
                 minutes=and_more(times(CUT_SCRAP, "Cutting scrap", cutting, kilos, "mass × minutes per mass"),
                                  rate(brief.rates, "step_min"), SET_OUT))
        )  # fmt: skip
    wanted = brief.shell
    if work.shell is not None and wanted is not None and wanted.reinforcement is not None:
        layers = scaled(work.shell.area, wanted.layers.value, key="shell_layers_area", label="Layers of the shell", unit="m2",
                        formula="area × layers", given=(wanted.layers,))  # fmt: skip
        cutting = rate(brief.rates, "reinforcement_cut_min_per_m2")
        tasks.append(
            Task(key=CUT_REINFORCEMENT, label=f"Cut what reinforces the shell ({wanted.reinforcement.name})", stage=Stage.SHELL,
                 minutes=and_more(times(CUT_REINFORCEMENT, "Cutting reinforcement", cutting, layers, BY_AREA),
                                  rate(brief.rates, "step_min"), SET_OUT))
        )  # fmt: skip
    return tasks


def preparation_tasks(brief: PlanBrief, work: Work) -> list[Task]:
    """List the work on the piece itself up to its release, in a line: cleaned, on its board or in its bed, sealed."""
    tasks = [] if work.patch_min is None else [_patch_test(brief, work.patch_min)]
    tasks += [
        Task(key=PREPARE, label="Clean and mend the piece", stage=Stage.PREPARE, waits_for=(PHOTOGRAPHS,),
             minutes=_step(brief, PREPARE, "Cleaning and mending", "prepare_min_per_m2")),
    ]  # fmt: skip
    if work.box is None:
        tasks.append(board_task(brief, 1, work.positions, waits_for=(PREPARE,)))
    elif work.positions > 1:
        # A block of two halves is bedded up to its parting first; one that is poured whole stands in its box alone.
        bed = board_task(brief, 1, 1, waits_for=(PREPARE,))
        tasks.append(replace(bed, label="Bed the piece up to its parting, with keys"))
    if brief.sealed or brief.sealer is not None:
        tasks.append(
            Task(key="seal", label="Seal the piece", stage=Stage.PREPARE, waits_for=(tasks[-1].key,),
                 minutes=_step(brief, "seal", "Sealing", "seal_min_per_m2"),
                 wait_after_min=rate(brief.rates, "seal_wait_min").value)
        )  # fmt: skip
    return tasks


def _patch_test(brief: PlanBrief, rests_min: float) -> Task:
    """Return the patch test: it cures as long as the rubber is left on the piece, and is read before the first coat."""
    sealed = ", sealed as it will be" if brief.sealed or brief.sealer is not None else ""
    return Task(
        key=PATCH, label=f"Patch test of this rubber on the surface{sealed}", stage=Stage.PREPARE, waits_for=(PHOTOGRAPHS,),
        minutes=as_rated(PATCH, "Patch test", rate(brief.rates, "patch_test_min")), wait_after_min=rests_min,
    )  # fmt: skip


def release_task(brief: PlanBrief, work: Work, *, after: str) -> Task:
    """Return the task of releasing the piece, before the first rubber and after a patch test was read."""
    tested = () if work.patch_min is None else (PATCH,)
    return Task(
        key="release", label="Release the piece", stage=Stage.PREPARE, waits_for=(after, *tested),
        minutes=_step(brief, "release", "Release", "release_min_per_m2"),
        wait_after_min=rate(brief.rates, "release_wait_min").value,
    )  # fmt: skip


def _step(brief: PlanBrief, key: str, label: str, of_area: str) -> Figure:
    """Return the minutes of a step over the whole surface; even a small piece takes setting out and clearing. [min]"""
    by_area = times(key, label, rate(brief.rates, of_area), brief.takeoff.area, BY_AREA)
    return and_more(by_area, rate(brief.rates, "step_min"), SET_OUT)


def board_task(brief: PlanBrief, position: int, positions: int, *, waits_for: tuple[str, ...]) -> Task:
    """Return the task of building the board and flange that the piece lies on at one position."""
    key = at_position(BOARD, position, positions)
    where = "" if positions == 1 else f" for position {position}"
    return Task(
        key=key, label=f"Build the board and flange{where}", stage=Stage.PREPARE, waits_for=waits_for,
        position=None if positions == 1 else position, minutes=as_rated(key, "Board and flange", rate(brief.rates, "board_min")),
    )  # fmt: skip


def turn_task(brief: PlanBrief, work: Work, position: int, *, waits_for: tuple[str, ...]) -> Task:
    """Return the task of turning the piece to a position after the first; each of several people is busy as long."""
    key, people = f"turn_position_{position}", work.turning_hands
    minutes = as_rated(key, "Turning the piece", rate(brief.rates, "turn_min"))
    if people > 1:
        hands = count(f"{key}_people", "People who turn it", people, formula="two where it is heavier than one lift")
        alone = minutes.renamed(key=f"{key}_alone", label="Turning the piece, each of them")
        minutes = scaled(alone, people, key=minutes.key, label=minutes.label, unit="min", formula="as rated × people",
                         given=(hands,))  # fmt: skip
    return Task(
        key=key, label=f"Turn the piece to position {position}", stage=Stage.PREPARE, waits_for=waits_for, position=position,
        minutes=minutes, people=people,
    )  # fmt: skip
