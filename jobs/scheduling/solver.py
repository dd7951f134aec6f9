"""Running the constraint solver with the settings that suit these models."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from threading import Event, Thread
from typing import Any

from jobs.scheduling.model import Model

SOLVED = ("OPTIMAL", "FEASIBLE")
_ASKED_S = 0.2


def solve(
    model: Model,
    *,
    seconds: float | None = None,
    effort: float | None = None,
    workers: int = 1,
    seed: int = 1,
    relaxed: bool = False,
    told: Callable[[Any], bool] | None = None,
    stop: Callable[[], bool] | None = None,
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
    stop : callable, optional
        Asked five times a second; the solver stops when it answers yes.

    Returns
    -------
    tuple
        The name of the status (`OPTIMAL`, `FEASIBLE`, `INFEASIBLE`, `UNKNOWN`) and the solver, whose values can be read.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    _set(solver.parameters, seconds=seconds, effort=effort, seed=seed, level=1 if relaxed or workers > 1 else 0)
    solver.parameters.num_workers = workers
    with _watched([solver], stop):
        status = solver.solve(model.cp, _callback(told))
    return solver.status_name(status), solver


def race(
    model: Model,
    *,
    seconds: float,
    workers: int = 2,
    told: Callable[[Any], bool] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[str, Any, float]:
    """Let several searches that differ in their linear relaxations run side by side, and stop all when one has the proof.

    Returns
    -------
    tuple
        The name of the status, the solver whose values are the best, and the best bound of all.

    Notes
    -----
    Measured on three jobs: with few starts left, the search without a relaxation proves in 0.1 to 1 s what the solver's own two
    workers do not in 4 s; where sessions can be joined, the one with it is the faster.
    """
    from ortools.sat.python import cp_model

    solvers = [cp_model.CpSolver() for _ in range(max(1, min(workers, 2)))]
    for place, solver in enumerate(solvers):
        _set(solver.parameters, seconds=seconds, effort=None, seed=1 + place, level=place)
        solver.parameters.num_workers = 1

    def run(solver: Any) -> str:
        status: str = solver.status_name(solver.solve(model.cp, _callback(told)))
        if status in ("OPTIMAL", "INFEASIBLE"):
            for other in solvers:
                if other is not solver:
                    other.stop_search()
        return status

    with _watched(solvers, stop), ThreadPoolExecutor(len(solvers)) as pool:
        statuses = list(pool.map(run, solvers))
    bound = max(solver.best_objective_bound for solver in solvers)
    for wanted in ("OPTIMAL", "INFEASIBLE"):
        if wanted in statuses:
            return wanted, solvers[statuses.index(wanted)], bound
    found = [solver for solver, status in zip(solvers, statuses, strict=True) if status == "FEASIBLE"]
    if not found:
        return "UNKNOWN", solvers[0], bound
    return "FEASIBLE", min(found, key=lambda solver: float(solver.objective_value)), bound


@contextmanager
def _watched(solvers: list[Any], stop: Callable[[], bool] | None) -> Iterator[None]:
    """Stop solvers when somebody says so while they run."""
    if stop is None:
        yield
        return
    over, asked = Event(), stop

    def watch() -> None:
        while not over.wait(_ASKED_S):
            if asked():
                for solver in solvers:
                    solver.stop_search()
                return

    watcher = Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        over.set()
        watcher.join()


def _set(parameters: Any, *, seconds: float | None, effort: float | None, seed: int, level: int) -> None:
    parameters.random_seed = seed
    # Measured: these make small models several times as fast and cost large ones nothing.
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.max_presolve_iterations = 1
    parameters.linearization_level = level
    if seconds is not None:
        parameters.max_time_in_seconds = max(seconds, 0.01)
    if effort is not None:
        parameters.max_deterministic_time = effort


def _callback(told: Callable[[Any], bool] | None) -> Any:
    """Return what hands each solution on and stops the search when it is told to."""
    from ortools.sat.python import cp_model

    if told is None:
        return None

    hear = told

    class Told(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            if hear(self.value):
                self.stop_search()

    return Told()
