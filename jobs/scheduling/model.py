"""The whole or a part of a problem as a constraint model; what is not free stands where a schedule has it."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from jobs.scheduling.domains import Hand, Room, joined, levels
from jobs.scheduling.model_sessions import add_sessions
from jobs.scheduling.problem import Lag, Link, Problem, Span, Task
from jobs.scheduling.result import Entry

if TYPE_CHECKING:
    from jobs.scheduling.prices import Priced


@dataclass(slots=True)
class Variables:
    """What the solver decides of one task: its start, who is there, and whether somebody comes in for it."""

    task: Task
    start: Any
    reach: Span
    present: dict[str, Any] = field(default_factory=dict)


class Model:
    """A constraint model of the free tasks of a problem.

    Parameters
    ----------
    problem : Problem
        Everything.
    fixed : mapping of task key to Entry, optional
        A whole schedule, of which the tasks that are not free keep their places.
    free : collection of task keys, optional
        What may move; all tasks if not given.
    near : int, optional
        How many steps a free task may move to either side; as far as it goes if not given.
    priced : Priced, optional
        What each start adds to a bound: those too dear for the known schedule to be reached are not looked at.
    core_floor : int, optional
        What everything but sessions and evenness costs at least together (proved before).

    Notes
    -----
    The objective equals `cost_of` of the schedule that is read out, parts that stand included.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        fixed: Mapping[str, Entry] | None = None,
        free: Collection[str] | None = None,
        near: int | None = None,
        priced: "Priced | None" = None,
        core_floor: int | None = None,
    ) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self._base = dict(fixed or {})
        self.fixed = {} if free is None else {key: entry for key, entry in self._base.items() if key not in free}
        self.cp = cp_model.CpModel()
        self._domain = cp_model.Domain
        self._near, self.priced = near, priced
        self.terms: list[Any] = []
        self.of_order: dict[str, list[Any]] = defaultdict(list)
        self._room = Room(problem, self.fixed)
        self.tasks = {task.key: self._task(task) for task in problem.tasks if task.key not in self.fixed}
        self._resources()
        for link in problem.links:
            self._link(link)
        self._orders()
        self._moved()
        if core_floor is not None:
            self.cp.add(sum(self.terms) + sum(term for terms in self.of_order.values() for term in terms) >= core_floor)
        add_sessions(self)
        self._even()
        self.cp.minimize(sum(self.terms) + sum(term for terms in self.of_order.values() for term in terms))

    def hint(self, entries: Mapping[str, Entry]) -> None:
        """Tell the solver where to begin."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        for key, variables in self.tasks.items():
            self.cp.add_hint(variables.start, entries[key].start)
            for person, literal in variables.present.items():
                self.cp.add_hint(literal, person in entries[key].people)

    def entries(self, value: Any) -> dict[str, Entry]:
        """Read a solution; `value` tells the value of an expression."""
        found = dict(self.fixed)
        for key, variables in self.tasks.items():
            start = int(value(variables.start))
            people = tuple(sorted(person for person, literal in variables.present.items() if value(literal)))
            found[key] = Entry(task=key, start=start, end=start + variables.task.steps, people=people)
        return found

    def _task(self, task: Task) -> Variables:
        cp = self.cp
        first, last = self._room.reach(task)
        if self._near is not None and task.pinned is None:
            at = self._base[task.key].start
            first, last = max(first, at - self._near), min(last, at + self._near)
        hands = self._room.hands(task, first, last)
        if self.priced is not None:
            starts = self.priced.starts(task.key)
            hands = [hand.among(starts) for hand in hands]
        every = [span for hand in hands for span in (*hand.usual, *hand.extra)]
        start = cp.new_int_var_from_domain(self._of(every), f"start_{task.key}")
        reach = (min((span[0] for span in every), default=0), max((span[1] for span in every), default=0))
        variables = Variables(task, start, reach)
        comes = [literal for hand in hands if (hand.usual or hand.extra) for literal in self._presence(variables, hand)]
        cp.add(sum(variables.present.values()) == task.people)
        if comes:
            visit = comes[0] if len(comes) == 1 or task.people == 1 else cp.new_bool_var(f"visit_{task.key}")
            if task.people == 1:
                visit = sum(comes)
            elif len(comes) > 1:
                for one in comes:
                    cp.add_implication(one, visit)
            self.of_order[task.order].append(self.problem.weights.visit * visit)
        return variables

    def _presence(self, variables: Variables, hand: Hand) -> list[Any]:
        """Tie a person's presence to the steps at which a task can begin with them; returns what says that they come in."""
        cp, start = self.cp, variables.start
        literal = cp.new_bool_var(f"by_{variables.task.key}_{hand.key}")
        variables.present[hand.key] = literal
        if not hand.extra:
            cp.add_linear_expression_in_domain(start, self._of(hand.usual)).only_enforce_if(literal)
            return []
        visit = cp.new_bool_var(f"in_{variables.task.key}_{hand.key}")
        cp.add_implication(visit, literal)
        cp.add_linear_expression_in_domain(start, self._of(hand.extra)).only_enforce_if(visit)
        cp.add_linear_expression_in_domain(start, self._of(hand.usual)).only_enforce_if([literal, ~visit])
        return [visit]

    def _of(self, spans: Collection[Span]) -> Any:
        return self._domain.from_intervals([list(span) for span in spans])

    def _resources(self) -> None:
        cp = self.cp
        own: dict[str, list[Any]] = defaultdict(list)
        there: dict[str, list[Any]] = defaultdict(list)
        begun: dict[str, list[Span]] = defaultdict(list)
        held: dict[str, list[Span]] = defaultdict(list)
        for key, variables in self.tasks.items():
            task = variables.task
            if task.begun and task.pinned is not None:
                for person in task.held_by:
                    begun[person].append((task.pinned, task.pinned + task.steps))
                if task.station is not None:
                    held[task.station].append((task.pinned, task.pinned + task.station_steps))
                continue
            for person, literal in variables.present.items():
                own[person].append(
                    cp.new_optional_fixed_size_interval_var(variables.start, task.steps, literal, f"own_{key}_{person}")
                )
            if task.station is not None:
                there[task.station].append(cp.new_fixed_size_interval_var(variables.start, task.station_steps, f"at_{key}"))
        # What has begun may overlap as it did; nothing else goes beside it.
        for person, spans in begun.items():
            own[person] += [
                cp.new_fixed_size_interval_var(start, end - start, f"begun_{person}_{start}") for start, end in joined(spans)
            ]
        for intervals in own.values():
            cp.add_no_overlap(intervals)
        for station in self.problem.stations:
            intervals = there[station.key]
            if not intervals:
                continue
            # Where one at a time fits, what stands is left out of the first steps already.
            used = held[station.key] + (self._room.used[station.key] if station.capacity > 1 else [])
            intervals += [
                cp.new_fixed_size_interval_var(start, end - start, f"held_{station.key}_{level}_{start}")
                for level, spans in enumerate(levels(used, station.capacity))
                for start, end in spans
            ]
            if station.capacity == 1:
                cp.add_no_overlap(intervals)
                continue
            cp.add_cumulative(intervals, [1] * len(intervals), station.capacity)

    def _link(self, link: Link) -> None:
        before, after = self.tasks.get(link.before), self.tasks.get(link.after)
        end = self.fixed[link.before].end if before is None else before.start + before.task.steps
        start = self.fixed[link.after].start if after is None else after.start
        terms = self.of_order[self.problem.task[link.after].order]
        if before is None and after is None:
            if link.most is not None and start > end + link.most.at(end, steps_per_hour=self.problem.steps_per_hour):
                terms.append(link.breach)
            return
        self.cp.add(start >= end + self._lag(link, link.least, end, before, "least"))
        if link.most is None:
            return
        latest = end + self._lag(link, link.most, end, before, "most")
        if not link.breach:
            self.cp.add(start <= latest)
            return
        broken = self.cp.new_bool_var(f"broken_{link.before}_{link.after}")
        self.cp.add(start <= latest).only_enforce_if(~broken)
        terms.append(link.breach * broken)

    def _lag(self, link: Link, lag: Lag, end: Any, before: Variables | None, what: str) -> Any:
        per_hour = self.problem.steps_per_hour
        if before is None:
            return lag.at(end, steps_per_hour=per_hour)
        if lag.constant is not None:
            return lag.constant
        first = (before.reach[0] + before.task.steps) // per_hour
        hours = (before.reach[1] + before.task.steps) // per_hour
        values = [lag.by_hour[min(hour, len(lag.by_hour) - 1)] for hour in range(first, hours + 1)]
        if len(set(values)) == 1:
            return values[0]
        name = f"{what}_{link.before}_{link.after}"
        hour = self.cp.new_int_var(first, hours, f"hour_{name}")
        self.cp.add(per_hour * hour <= end)
        self.cp.add(per_hour * hour >= end - (per_hour - 1))
        found = self.cp.new_int_var(min(values), max(values), name)
        self.cp.add_element(hour - first, values, found)
        return found

    def _orders(self) -> None:
        problem, weights, cp = self.problem, self.problem.weights, self.cp
        ends: list[Any] = []
        for order in problem.orders:
            tasks = problem.tasks_of[order.key]
            own = [self.tasks[task.key] for task in tasks if task.key in self.tasks]
            stay = max((self.fixed[task.key].end for task in tasks if task.key in self.fixed), default=0)
            terms = self.of_order[order.key]
            if not tasks:
                continue
            done: Any = stay
            if own:
                done = cp.new_int_var(stay, problem.horizon, f"done_{order.key}")
                for variables in own:
                    if all(problem.task[link.after].order != order.key for link in problem.links_from[variables.task.key]):
                        cp.add(done >= variables.start + variables.task.steps)
            ends.append(done)
            terms.append(weights.lead * (done - order.opens))
            if order.due is not None:
                terms.append(weights.late * order.weight * self._late(done, order.due, order.key))
        if weights.span and ends:
            stay = max((done for done in ends if isinstance(done, int)), default=0)
            span = cp.new_int_var(stay, problem.horizon, "span")
            for done in ends:
                if not isinstance(done, int):
                    cp.add(span >= done)
            self.terms.append(weights.span * span)

    def _late(self, done: Any, due: int, key: str) -> Any:
        if isinstance(done, int):
            return max(0, done - due)
        late = self.cp.new_int_var(0, self.problem.horizon, f"late_{key}")
        self.cp.add(late >= done - due)
        return late

    def _moved(self) -> None:
        for key, start in self.problem.before.items():
            if key not in self.problem.task:
                continue
            terms = self.of_order[self.problem.task[key].order]
            variables = self.tasks.get(key)
            if variables is None:
                terms.append(self.problem.weights.moved * int(self.fixed[key].start != start))
                continue
            moved = self.cp.new_bool_var(f"moved_{key}")
            self.cp.add(variables.start == start).only_enforce_if(~moved)
            terms.append(self.problem.weights.moved * moved)

    def _even(self) -> None:
        people = [person.key for person in self.problem.people if person.hours]
        if len(people) < 2 or not self.problem.weights.uneven:
            return
        stay = {key: sum(end - start for start, end in self._room.busy[key]) for key in people}
        free = sum(variables.task.steps for variables in self.tasks.values())
        most = max(stay.values()) + free
        busiest, idlest = self.cp.new_int_var(0, most, "busiest"), self.cp.new_int_var(0, most, "idlest")
        for key in people:
            load = stay[key] + sum(
                variables.task.steps * variables.present[key] for variables in self.tasks.values() if key in variables.present
            )
            self.cp.add(busiest >= load)
            self.cp.add(idlest <= load)
        per_hour = self.problem.steps_per_hour
        hours = self.cp.new_int_var(0, most // per_hour + 1, "uneven")
        self.cp.add(per_hour * hours >= busiest - idlest - (per_hour - 1))
        self.terms.append(self.problem.weights.uneven * hours)
