"""What the search is compared with: the constraint solver as it comes, and a mixed-integer program."""

import time
from collections import defaultdict
from typing import Any

from jobs.scheduling.domains import starts_in
from jobs.scheduling.layout import able
from jobs.scheduling.model import Model
from jobs.scheduling.problem import Problem, Task
from jobs.scheduling.result import cost_of

# The program looks no further than this many days; with more it finds nothing in the time.
MIP_DAYS = 16


def plain_solver(problem: Problem, seconds: float) -> tuple[int | None, float, str]:
    """Give the whole model to CP-SAT with its own settings and no start; cost, seconds and status."""
    from ortools.sat.python import cp_model

    began = time.monotonic()
    model = Model(problem)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model.cp)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    cost = cost_of(problem, model.entries(solver.value)).total if found else None
    return cost, time.monotonic() - began, solver.status_name(status)


def mixed_integer(problem: Problem, seconds: float) -> tuple[float | None, float, str]:
    """Solve with HiGHS, sessions and evenness left out; cost, seconds and status.

    Starts are continuous; a task chooses one person's one stretch of hours for each pair of hands, and pairs of tasks that
    could be done by one person or at one place are ordered by big-M. Waits must be the same at every hour.
    """
    import highspy

    began = time.monotonic()
    program = highspy.Highs()
    program.setOptionValue("output_flag", False)
    program.setOptionValue("time_limit", seconds)
    program.setOptionValue("threads", 2)
    made = _Program(problem, program)
    program.minimize(made.objective())
    status = program.modelStatusToString(program.getModelStatus())
    found = program.getInfo().primal_solution_status == 2
    return (program.getObjectiveValue() if found else None), time.monotonic() - began, status


class _Program:
    def __init__(self, problem: Problem, program: Any) -> None:
        self.problem, self.program = problem, program
        day = 24 * problem.steps_per_hour
        self.last = min(problem.horizon, max(order.opens for order in problem.orders) + MIP_DAYS * day)
        self.start: dict[str, Any] = {}
        self.does: dict[tuple[str, str], Any] = {}
        self.costs: list[Any] = []
        for task in problem.tasks:
            self._task(task)
        self._waits()
        self._apart()
        self._ends()

    def objective(self) -> Any:
        return sum(self.costs[1:], self.costs[0])

    def _task(self, task: Task) -> None:
        problem, program = self.problem, self.program
        first, last = max(task.opens, problem.order[task.order].opens), self.last - task.steps
        start = program.addVariable(lb=first, ub=last)
        self.start[task.key] = start
        visit = program.addBinary()
        self.costs.append(problem.weights.visit * visit)
        for person in able(problem, task):
            chosen = []
            until = min(last, person.latest_end(task, problem.horizon) - task.steps)
            for usual, spans in ((True, person.hours), (False, () if task.by_day else person.visits)):
                for opens, closes in starts_in(sorted(spans), task.steps, first, until):
                    there = program.addBinary()
                    chosen.append(there)
                    program.addConstr(start - (opens - first) * there >= first)
                    program.addConstr(start + (last - closes) * there <= last)
                    if not usual:
                        program.addConstr(visit - there >= 0)
            does = program.addBinary()
            self.does[task.key, person.key] = does
            program.addConstr(sum(chosen[1:], chosen[0]) - does == 0)
        hands = [self.does[task.key, person.key] for person in able(problem, task)]
        program.addConstr(sum(hands[1:], hands[0]) == task.people)

    def _waits(self) -> None:
        for link in self.problem.links:
            steps = self.problem.task[link.before].steps
            gap = self.start[link.after] - self.start[link.before]
            self.program.addConstr(gap >= steps + (link.least.constant or 0))
            if link.most is not None:
                broken = self.program.addBinary()
                self.costs.append(link.breach * broken)
                self.program.addConstr(gap - self.last * broken <= steps + (link.most.constant or 0))

    def _apart(self) -> None:
        tasks = self.problem.tasks
        for place, one in enumerate(tasks):
            for other in tasks[place + 1 :]:
                if one.key in self.problem.comes_before[other.key] or other.key in self.problem.comes_before[one.key]:
                    continue
                shared = [key for task, key in self.does if task == one.key and (other.key, key) in self.does]
                if not shared and (one.station is None or one.station != other.station):
                    continue
                first = self.program.addBinary()
                gap, far = self.start[other.key] - self.start[one.key], self.last
                together = [self.does[one.key, key] + self.does[other.key, key] for key in shared]
                if one.station is not None and one.station == other.station:
                    self.program.addConstr(gap - far * first >= one.station_steps - far)
                    self.program.addConstr(gap - far * first <= -other.station_steps)
                    continue
                for both in together:
                    # Binding where both are done by this person, either way round.
                    self.program.addConstr(gap - far * first - far * both >= one.steps - 3 * far)
                    self.program.addConstr(gap - far * first + far * both <= 2 * far - other.steps)

    def _ends(self) -> None:
        weights, ends = self.problem.weights, defaultdict(list)
        for task in self.problem.tasks:
            ends[task.order].append(self.start[task.key] + task.steps)
        span = self.program.addVariable(lb=0, ub=self.last)
        self.costs.append(weights.span * span)
        for order in self.problem.orders:
            done = self.program.addVariable(lb=0, ub=self.last)
            late = self.program.addVariable(lb=0, ub=self.last)
            for end in ends[order.key]:
                self.program.addConstr(done - end >= 0)
            self.program.addConstr(span - done >= 0)
            self.costs.append(weights.lead * done - weights.lead * order.opens)
            if order.due is not None:
                self.program.addConstr(late - done >= -order.due)
                self.costs.append(weights.late * order.weight * late)
