"""Running the constraint solver with the settings that suit these models."""

from collections.abc import Callable
from typing import Any

from jobs.scheduling.model import Model

SOLVED = ("OPTIMAL", "FEASIBLE")


def solve(
    model: Model,
    *,
    seconds: float | None = None,
    effort: float | None = None,
    workers: int = 1,
    seed: int = 1,
    relaxed: bool = False,
    told: Callable[[Any], bool] | None = None,
) -> tuple[str, Any]:
    """Run the solver on a model.

    Parameters
    ----------
    model : Model
        What is to be decided.
    seconds, effort : float, optional
        The longest it may take by the clock, and by the solver's own count of work, which does not depend on the machine.
    workers, seed : int
        How many searches run beside each other, and where their chance begins.
    relaxed : bool
        Whether one search alone makes use of linear relaxations too: slower to begin, better for proofs.
    told : callable, optional
        Handed each solution's values as it is found; the solver stops when it answers yes.

    Returns
    -------
    tuple
        The name of the status (`OPTIMAL`, `FEASIBLE`, `INFEASIBLE`, `UNKNOWN`) and the solver, whose values can be read.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = workers
    parameters.random_seed = seed
    # Measured: these make small models several times as fast and cost large ones nothing.
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.max_presolve_iterations = 1
    if workers == 1 and not relaxed:
        parameters.linearization_level = 0
    if seconds is not None:
        parameters.max_time_in_seconds = max(seconds, 0.01)
    if effort is not None:
        parameters.max_deterministic_time = effort
    callback = None
    if told is not None:
        hear = told

        class Told(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                if hear(self.value):
                    self.stop_search()

        callback = Told()
    status = solver.solve(model.cp, callback)
    return solver.status_name(status), solver
