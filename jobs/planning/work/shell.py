"""Work on the rigid backing, its cradle, and the opening of the mold."""

from jobs.planning.brief import PlanBrief, ShellBrief, ShellKind
from jobs.planning.rates import rate
from jobs.planning.results import ShellPlan, Task
from jobs.planning.sums import count, fact, scaled
from jobs.planning.work.work import HEATS, Work, as_rated, times
from materials.properties import Chemistry
from materials.science.laminate import WET_LAYERS
from materials.science.windows import LAMINATE_DAY
from studio.figures import Figure
from studio.workrates import Stage

CRADLE = "cradle"


def shell_tasks(brief: PlanBrief, shell: ShellPlan, *, after: tuple[str, ...], wait_min: float) -> list[Task]:
    """List the work on each shell piece: the next is built against it, so each sets fully first.

    A piece of more layers than may be wet at once is laid in turns; the heat of each passes before the next.
    """
    assert brief.shell is not None
    tasks: list[Task] = []
    turns = 1 if shell.sessions is None else round(shell.sessions.value)
    for number in range(1, shell.pieces + 1):
        for turn in range(1, turns + 1):
            last = turn == turns
            tasks.append(
                Task(
                    key=f"shell_{number}" if turn == 1 else f"shell_{number}_layers_{turn}",
                    label=_label(shell, number, turn, turns),
                    stage=Stage.SHELL,
                    minutes=_minutes_of_turn(_shell_minutes(brief, shell, number), shell, turn),
                    wait_after_min=wait_min if last else rate(brief.rates, "laminate_heat_min").value,
                    latest_next_min=None if last else LAMINATE_DAY.value,
                    waits_for=(tasks[-1].key,) if tasks else after,
                    unattended=not _heats(brief.shell),
                )
            )
    return tasks


def _label(shell: ShellPlan, number: int, turn: int, turns: int) -> str:
    built = f"Build shell piece {number} of {shell.pieces} ({shell.label.lower()})"
    return built if turns == 1 else f"{built}, layers in turn {turn} of {turns}"


def _minutes_of_turn(whole: Figure, shell: ShellPlan, turn: int) -> Figure:
    """Take an even share of a piece's minutes for each turn."""
    if shell.sessions is None or shell.sessions.value <= 1:
        return whole
    return scaled(
        whole.renamed(key=f"{whole.key}_whole", label=whole.label), 1 / shell.sessions.value, unit="min", label=whole.label,
        key=whole.key if turn == 1 else f"{whole.key}_layers_{turn}", formula="minutes of the piece ÷ times that layers are laid",
        given=(shell.sessions,),
    )  # fmt: skip


def _heats(shell: ShellBrief) -> bool:
    """Say whether a shell gets hot enough as it sets to be watched: a thick mass of resin does, thin layers lose their heat."""
    thick = shell.kind is ShellKind.PUTTY or shell.layers.value > WET_LAYERS.value
    return thick and shell.material.chemistry in HEATS


def opening_tasks(brief: PlanBrief, work: Work, *, after: tuple[str, ...]) -> list[Task]:
    """List the opening, the cut of the seam, the first clean, and the cradle that is built while the mold rests."""
    pieces = fact("Shell pieces", 1 if work.shell is None else work.shell.pieces, "1")
    opening = rate(brief.rates, "open_min_per_piece")
    tin = brief.rubber.chemistry is Chemistry.TIN_SILICONE
    rest_min = rate(brief.rates, "mold_rest_h").value * 60 if tin and work.casting is not None else 0.0
    tasks = [
        Task(key="open", label="Open the mold", stage=Stage.OPEN, waits_for=after,
             minutes=times("open", "Opening", opening, pieces, "pieces × minutes each")),
    ]  # fmt: skip
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        cut = rate(brief.rates, "seam_cut_min_per_m")
        minutes = times("seam_cut", "Cutting the seam", cut, brief.seam_length_m, "length × minutes per metre")
        tasks.append(
            Task(key="seam_cut", label="Cut the seam of the blanket", stage=Stage.OPEN, minutes=minutes, waits_for=("open",))
        )
    tasks.append(
        Task(key="mold_clean", label="Clean and check the mold", stage=Stage.OPEN, wait_after_min=rest_min,
             minutes=as_rated("mold_clean", "Cleaning and checking", rate(brief.rates, "mold_clean_min")),
             waits_for=(tasks[-1].key,))
    )  # fmt: skip
    if work.casting is not None and work.shell is not None:
        tasks.append(
            Task(key=CRADLE, label="Fit the cradle for the rotating frame", stage=Stage.OPEN, waits_for=after,
                 minutes=as_rated(CRADLE, "Cradle", rate(brief.rates, "cradle_min")))
        )  # fmt: skip
    return tasks


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
