"""What is lifted, what it weighs, and how many people share it."""

import math

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan, ShellPlan
from jobs.planning.shell.results import Lift
from jobs.planning.sums import scaled, total
from studio.figures import Figure, high_end, low_end

WHOLE_SHELL = "lift_shell"


def plan_lifts(brief: PlanBrief, *, blanket: Figure, shell: ShellPlan | None, casting: CastingPlan | None) -> tuple[Lift, ...]:
    """List every lift: each shell piece, the shell, the piece with its rubber, the blanket, the closed mold with a casting.

    Parameters
    ----------
    brief : PlanBrief
        Its rate `lift_limit_kg` is what one person lifts.
    blanket : Figure
        All rubber of one mold. [g]
    shell, casting : optional
        What else is lifted; plaster counts as heavy as it is before it dries.

    Returns
    -------
    tuple of Lift
        Masses in g; people = mass ÷ limit of one lift, rounded up.

    Raises
    ------
    BadBrief
        When the limit of a lift is nought.
    """
    limit = rate(brief.rates, "lift_limit_kg")
    if limit.value <= 0:
        raise BadBrief("The heaviest single lift must be more than nought; correct it under Studio, Rates of work.")

    def lift(label: str, mass: Figure) -> Lift:
        return Lift(label=label, mass=mass, people=max(math.ceil(mass.value / (1000 * limit.value) - 1e-9), 1))

    found = [] if shell is None else [lift(mass.label, mass) for mass in _shell(shell)]
    laden = laden_piece(brief, blanket)
    found += [] if laden is None else [lift(laden.label, laden)]
    name, whole = ("Block", "Block of rubber") if brief.making is Making.BLOCK else ("Blanket", "Blanket with its fill")
    found.append(lift(name, blanket.renamed(key="lift_blanket", label=whole)))
    if shell is not None or casting is not None:
        closed = closed_mold(blanket=blanket, shell=shell, casting=casting)
        found.append(lift(closed.label, closed.renamed(key="lift_closed", label=closed.label)))
    return tuple(found)


def laden_piece(brief: PlanBrief, rubber: Figure) -> Figure | None:
    """Weigh the piece with all rubber of one mold on it, as it is turned and opened; None where nobody weighed it. [g]"""
    piece = brief.piece_mass_g
    if piece is None:
        return None
    return Figure(
        key="lift_piece", label="Piece with its rubber", value=piece.value + rubber.value, unit="g", formula="piece + rubber",
        given=(piece, rubber), low=piece.value + low_end(rubber), high=piece.value + high_end(rubber),
    )  # fmt: skip


def hands_to_turn(brief: PlanBrief, rubber: Figure) -> int:
    """Return how many turn the piece: two where it may be above one lift; beyond two a hoist takes the weight."""
    laden = laden_piece(brief, rubber)
    return 2 if laden is not None and laden.value > 1000 * rate(brief.rates, "lift_limit_kg").value else 1


def closed_mold(*, blanket: Figure, shell: ShellPlan | None, casting: CastingPlan | None) -> Figure:
    """Weigh a closed mold, with a casting in it where one is cast. [g]"""
    masses = [blanket]
    masses += [] if shell is None else [shell.mass]
    masses += [] if casting is None else [casting.casting_mass]
    label = "Closed mold" if casting is None else "Closed mold with a casting"
    return total("closed_mold", label, "g", masses, formula="rubber + shell" + (" + casting" if casting else ""))


def piece_lifts(shell: ShellPlan) -> tuple[Lift, ...]:
    """Return the lifts of the shell's pieces, or of a mean one; of the shell itself where it is one piece."""
    whole = {WHOLE_SHELL} if shell.pieces > 1 else set()
    return tuple(lift for lift in shell.lifts if lift.mass.key.startswith(WHOLE_SHELL) and lift.mass.key not in whole)


def _shell(shell: ShellPlan) -> list[Figure]:
    """Weigh the pieces and the whole as they are first lifted. [g]"""
    wet = shell.wet_mass
    heavier = 1.0 if wet is None else wet.value / max(shell.mass.value, 1e-12)
    formula = "mass of the piece" if wet is None else "mass of the piece when dry × wet ÷ dry"
    how = () if wet is None else (wet, shell.mass)
    note = "" if wet is None else "As it is when it has just set; it gets lighter as it dries."

    def as_lifted(mass: Figure, key: str, label: str) -> Figure:
        return scaled(mass, heavier, key=key, label=label, unit="g", formula=formula, given=how, note=note)

    if shell.pieces == 1:
        return [as_lifted(shell.mass, WHOLE_SHELL, "Shell")]
    pieces = [
        as_lifted(mass, f"{WHOLE_SHELL}_{number}", f"Shell piece {number}")
        for number, mass in enumerate(shell.piece_masses, start=1)
    ] or [as_lifted(shell.piece_mass, f"{WHOLE_SHELL}_mean", "Shell piece, on average")]
    return [*pieces, as_lifted(shell.mass, WHOLE_SHELL, "Whole shell")]
