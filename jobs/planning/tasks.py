"""The work in its order: what is done, how long hands are on it, what it waits for."""

from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.pour_results import BoxPlan, ClayPlan
from jobs.planning.pour_tasks import box_order, clay_order
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan, Coat, FillPlan, ShellPlan, Task
from jobs.planning.sums import count, fact, scaled
from materials.properties import Chemistry
from materials.science.kinetics import time_at
from materials.science.material import MaterialSpec
from studio.figures import TYPED, Figure, Given
from studio.workrates import Stage

CUT_SCRAP = "cut_scrap"


def plan_tasks(
    brief: PlanBrief,
    coats: tuple[Coat, ...],
    fill: FillPlan | None,
    shell: ShellPlan | None,
    casting: CastingPlan | None,
    *,
    clay: ClayPlan | None = None,
    box: BoxPlan | None = None,
) -> tuple[Task, ...]:
    """List every task in order; minutes typed for this job replace the computed ones."""
    tasks = [
        *_client(brief),
        *_laying(brief, coats, fill, shell, clay, box),
        *_opening(brief, shell),
        *_castings(brief, casting),
    ]
    return tuple(overridden(task, brief) for task in _chained(tasks))


def _laying(
    brief: PlanBrief,
    coats: tuple[Coat, ...],
    fill: FillPlan | None,
    shell: ShellPlan | None,
    clay: ClayPlan | None,
    box: BoxPlan | None,
) -> list[Task]:
    """List the work from the bare piece to the rubber in its shell or box, in the order of how it is made."""
    cure = time_at(brief.rubber, "demold_min", brief.temperature_c).value
    first, backing = _preparation(brief), _shell(brief, shell)
    if clay is not None:
        cutting, pour = _cutting(brief, fill), _coats(brief, coats, cure)
        return [*cutting, *clay_order(brief, preparation=first, shell=backing, pour=pour, fill=fill, clay=clay)]
    if box is not None:
        pour = _coats(brief, coats, cure)
        return [*_cutting(brief, fill), *box_order(brief, preparation=first, pour=pour, fill=fill, box=box)]
    laid = _coats(brief, coats, cure if fill is None else coats[-1].earliest_next.value)
    return [*first, *laid, *_fill(brief, fill, cure), *backing]


def _chained(tasks: list[Task]) -> list[Task]:
    """Let each bench task wait for the one before; the client's and the cutting of scrap run beside them."""
    keys = {task.key for task in tasks}
    chained: list[Task] = []
    last: tuple[str, ...] = ()
    for task in tasks:
        if task.stage is Stage.CLIENT or task.key == CUT_SCRAP:
            chained.append(task)
        else:
            beside = (CUT_SCRAP,) if task.key == "fill" and CUT_SCRAP in keys else ()
            chained.append(replace(task, waits_for=(*last, *beside)))
            last = (task.key,)
    return chained


def overridden(task: Task, brief: PlanBrief) -> Task:
    """Take the minutes typed for a task of this job in place of the computed ones, where there are any."""
    typed = brief.minutes_overrides.get(task.key)
    if typed is None:
        return task
    minutes = Figure(
        key=task.minutes.key,
        label=task.minutes.label,
        value=typed,
        unit="min",
        formula="typed for this job, in place of the computed minutes",
        given=(task.minutes,),
        source=TYPED,
    )
    return replace(task, minutes=minutes)


def _plain(key: str, label: str, given: Given) -> Figure:
    return Figure(
        key=f"task_{key}", label=label, value=given.value, unit="min", formula="as rated", given=(given,),
        low=given.low, high=given.high,
    )  # fmt: skip


def _times(key: str, label: str, given: Given, amount: Given | Figure, formula: str) -> Figure:
    low = None if given.low is None else given.low * amount.value
    high = None if given.high is None else given.high * amount.value
    return Figure(
        key=f"task_{key}", label=label, value=given.value * amount.value, unit="min", formula=formula,
        given=(amount, given), low=low, high=high,
    )  # fmt: skip


def _client(brief: PlanBrief) -> list[Task]:
    return [
        Task(key="client_talk", label="Talk to the client", stage=Stage.CLIENT, station="office",
             minutes=_plain("client_talk", "Talking to the client", rate(brief.rates, "client_talk_min"))),
        Task(key="photographs", label="Photograph the piece and note its condition", stage=Stage.CLIENT,
             station="office", minutes=_plain("photographs", "Photographs", rate(brief.rates, "photographs_min"))),
    ]  # fmt: skip


def _preparation(brief: PlanBrief) -> list[Task]:
    area = brief.takeoff.area
    places = fact("Positions", brief.positions, "1")
    by_area = "surface × minutes per area"

    def task(key: str, label: str, minutes: Figure, wait: float = 0.0) -> Task:
        return Task(key=key, label=label, stage=Stage.PREPARE, minutes=minutes, wait_after_min=wait)

    tasks = [
        task("prepare", "Clean and mend the piece",
             _times("prepare", "Cleaning and mending", rate(brief.rates, "prepare_min_per_m2"), area, by_area)),
        task("board", "Build the board and flange",
             _times("board", "Board and flange", rate(brief.rates, "board_min"), places, "positions × minutes each")),
    ]  # fmt: skip
    if brief.positions > 1:
        turns = fact("Turns", brief.positions - 1, "1")
        tasks.append(
            task("turn", "Turn the piece to its next position",
                 _times("turn", "Turning the piece", rate(brief.rates, "turn_min"), turns, "turns × minutes each"))
        )  # fmt: skip
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        strip = rate(brief.rates, "parting_strip_min_per_m")
        minutes = _times("parting_strip", "Parting strip", strip, brief.seam_length_m, "length × minutes per metre")
        tasks.append(task("parting_strip", "Cast and fit the parting strip", minutes))
    if brief.sealed or brief.sealer is not None:
        minutes = _times("seal", "Sealing", rate(brief.rates, "seal_min_per_m2"), area, by_area)
        tasks.append(task("seal", "Seal the piece", minutes, rate(brief.rates, "seal_wait_min").value))
    minutes = _times("release", "Release", rate(brief.rates, "release_min_per_m2"), area, by_area)
    tasks.append(task("release", "Release the piece", minutes, rate(brief.rates, "release_wait_min").value))
    return tasks


def _coats(brief: PlanBrief, coats: tuple[Coat, ...], last_wait_min: float) -> list[Task]:
    return [
        Task(
            key=f"coat_{coat.number}",
            label=coat.role.label if len(coats) == 1 else f"{coat.role.label} ({coat.number} of {len(coats)})",
            stage=Stage.COATS,
            minutes=coat.minutes.renamed(key=f"task_coat_{coat.number}", label=coat.role.label),
            people=brief.people_per_coat,
            wait_after_min=last_wait_min if coat is coats[-1] else coat.earliest_next.value,
            latest_next_min=None if coat.latest_next is None or coat is coats[-1] else coat.latest_next.value,
        )
        for coat in coats
    ]


def _fill(brief: PlanBrief, fill: FillPlan | None, cure_min: float) -> list[Task]:
    if fill is None:
        return []
    minutes = fill.minutes.renamed(key="task_fill", label="Placing the fill")
    placing = Task(key="fill", label="Place the fill", stage=Stage.FILL, minutes=minutes, wait_after_min=cure_min)
    return [*_cutting(brief, fill), placing]


def _cutting(brief: PlanBrief, fill: FillPlan | None) -> list[Task]:
    if fill is None or fill.scrap_mass.value <= 0:
        return []
    kilos = scaled(fill.scrap_mass, 0.001, key="scrap_kg", label="Scrap", unit="kg", formula="scrap used")
    cutting = rate(brief.rates, "scrap_cut_min_per_kg")
    return [
        Task(key=CUT_SCRAP, label="Cut and wash the scrap", stage=Stage.FILL,
             minutes=_times("cut_scrap", "Cutting scrap", cutting, kilos, "mass × minutes per mass"))
    ]  # fmt: skip


def _shell(brief: PlanBrief, shell: ShellPlan | None) -> list[Task]:
    """One task a shell piece: the next is built against it, so each sets fully first."""
    if shell is None or brief.shell is None:
        return []
    wait = _shell_wait_min(brief.shell.material, brief.temperature_c)
    return [
        Task(
            key=f"shell_{number}",
            label=f"Build shell piece {number} of {shell.pieces} ({shell.label.lower()})",
            stage=Stage.SHELL,
            minutes=_shell_minutes(brief, shell, number),
            wait_after_min=wait,
        )
        for number in range(1, shell.pieces + 1)
    ]


def _shell_minutes(brief: PlanBrief, shell: ShellPlan, number: int) -> Figure:
    """Take a piece's minutes by its mass where the pieces are known, an even share otherwise."""
    key, label = f"task_shell_{number}", "Building a shell piece"
    if not shell.piece_masses:
        pieces = count("pieces", "Shell pieces", shell.pieces, formula="as decided")
        return scaled(
            shell.minutes, 1 / shell.pieces, key=key, label=label, unit="min", formula="minutes of the whole shell ÷ pieces",
            given=(pieces,),
        )  # fmt: skip
    setup, finish = rate(brief.rates, "shell_piece_min"), rate(brief.rates, "shell_finish_min")
    each = setup.value + finish.value
    laying = scaled(
        shell.minutes, (shell.minutes.value - shell.pieces * each) / max(shell.minutes.value, 1e-12), key=f"{key}_laying",
        label="Laying the whole shell", unit="min", formula="minutes of the whole shell − setting up and finishing its pieces",
        given=(setup, finish),
    )  # fmt: skip
    own = shell.piece_masses[number - 1]
    return Figure(
        key=key, label=label, value=laying.value * own.value / max(shell.mass.value, 1e-12) + each, unit="min",
        formula="laying × this piece's share of the shell + setting up + drilling and trimming",
        given=(laying, own, shell.mass, setup, finish),
    )  # fmt: skip


def _shell_wait_min(material: MaterialSpec, temperature: Given) -> float:
    stated = material.get("demold_min")
    if stated is None:
        return 0.0
    # Plaster sets by dissolving and crystallising; the law for resins is not known to hold for it.
    return stated.value if material.chemistry is Chemistry.GYPSUM else time_at(material, "demold_min", temperature).value


def _opening(brief: PlanBrief, shell: ShellPlan | None) -> list[Task]:
    pieces = fact("Shell pieces", 1 if shell is None else shell.pieces, "1")
    opening = rate(brief.rates, "open_min_per_piece")
    tin = brief.rubber.chemistry is Chemistry.TIN_SILICONE
    rest_min = rate(brief.rates, "mold_rest_h").value * 60 if tin and brief.casting is not None else 0.0
    tasks = [
        Task(key="open", label="Open the mold", stage=Stage.OPEN,
             minutes=_times("open", "Opening", opening, pieces, "pieces × minutes each")),
    ]  # fmt: skip
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        cut = rate(brief.rates, "seam_cut_min_per_m")
        minutes = _times("seam_cut", "Cutting the seam", cut, brief.seam_length_m, "length × minutes per metre")
        tasks.append(Task(key="seam_cut", label="Cut the seam of the blanket", stage=Stage.OPEN, minutes=minutes))
    clean = _plain("mold_clean", "Cleaning and checking", rate(brief.rates, "mold_clean_min"))
    tasks.append(
        Task(key="mold_clean", label="Clean and check the mold", stage=Stage.OPEN, minutes=clean,
             wait_after_min=rest_min)
    )  # fmt: skip
    return tasks


def _castings(brief: PlanBrief, casting: CastingPlan | None) -> list[Task]:
    if casting is None:
        return []
    run = count("run", "Castings in the run", casting.count, formula="as decided")
    at_mold = scaled(casting.minutes_each, casting.count, key="task_castings", label="Casting the run", unit="min",
                     formula="castings × minutes each", given=(run,))  # fmt: skip
    surface = scaled(brief.takeoff.area, casting.count, key="run_area", label="Surface of the run", unit="m2",
                     formula="surface × castings", given=(run,))  # fmt: skip
    finishing = rate(brief.rates, "finish_min_per_m2")
    startup = rate(brief.rates, "casting_startup_h")
    days = scaled(casting.days, startup.value * 60, key="task_casting_days", label="Starting and closing casting days",
                  unit="min", formula="casting days × starting and closing one", given=(startup,))  # fmt: skip
    tasks = [
        Task(key="casting_days", label="Start and close the casting days", stage=Stage.CAST, minutes=days),
        Task(key="castings", label="Cast the run", stage=Stage.CAST, minutes=at_mold, station="rotating frame"),
        Task(key="finishing", label="Patch and finish the castings", stage=Stage.FINISH,
             minutes=_times("finishing", "Finishing", finishing, surface, "surface × minutes per area")),
    ]  # fmt: skip
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        length = Figure(key="run_seam", label="Seam of the run", value=brief.seam_length_m.value * casting.count,
                        unit="m", formula="seam × castings", given=(brief.seam_length_m, run))  # fmt: skip
        trim = rate(brief.rates, "seam_min_per_m")
        minutes = _times("trim", "Trimming seams", trim, length, "length × minutes per metre")
        tasks.append(Task(key="trim", label="Trim the seams of the castings", stage=Stage.FINISH, minutes=minutes))
    packing = _times("packing", "Packing", rate(brief.rates, "packing_min"), run, "castings × minutes each")
    tasks.append(Task(key="packing", label="Pack the castings", stage=Stage.FINISH, minutes=packing))
    return tasks
