"""A job's plan as tasks and waits of the core, with what this studio asks of each."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.days.clock import Grid
from jobs.days.core_keys import plan_key_of
from jobs.days.plans import PlannedJob
from jobs.days.skills import Rules, by_day_only, said_together, skills_for
from jobs.days.stock import Supply
from jobs.planning.results import Task as PlanTask
from jobs.planning.work.work import BENCH, ROTATING_FRAME, VACUUM_CHAMBER
from jobs.scheduling.network import Bench, Network, network_of
from jobs.scheduling.problem import Station, Task
from studio.models import Station as StationRow
from studio.workrates import Stage

Kind = StationRow.Kind
# The places of a plan by the kinds of stations that a studio enters; work in an office wants none.
PLACES = {BENCH: Kind.BENCH, VACUUM_CHAMBER: Kind.VACUUM, ROTATING_FRAME: Kind.FRAME}
MIXED_AT = "coat_"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What pages say of a task of the core: its job, keys, label, and the material that is mixed for it."""

    job_id: int
    task_key: str
    plan_key: str
    label: str
    stage: Stage
    place: int
    unattended: bool
    mixes: str


def stations() -> tuple[Station, ...]:
    """Return the stations of the studio by kind; as many tasks fit as all of a kind have places."""
    places: dict[str, int] = {}
    for kind, count in StationRow.objects.filter(active=True).values_list("kind", "places"):
        places[kind] = places.get(kind, 0) + count
    return tuple(Station(key=kind, label=str(Kind(kind).label), capacity=count) for kind, count in sorted(places.items()))


def bench_of(step_min: int, kept: tuple[Station, ...], paces: Mapping[Stage, tuple[float, ...]] | None = None) -> Bench:
    """Return what the studio adds to plans: grid, places, and how fast curing goes."""
    known = {station.key for station in kept}
    return Bench(
        step_min=step_min,
        stations={place: kind.value for place, kind in PLACES.items() if kind.value in known},
        by_day=frozenset(),
        paces=paces or {},
    )


def network_for(planned: PlannedJob, bench: Bench) -> Network:
    """Return the tasks and waits of a job."""
    rubber = planned.materials["rubber"]
    return network_of(planned.made, order=planned.order, rubber=str(rubber.key), bench=bench, molds=planned.made.molds)


def said_of(planned: PlannedJob, network: Network) -> dict[str, Said]:
    """Return what pages say of each task."""
    plan = {task.key: task for task in planned.made.tasks}
    found = {}
    for place, task in enumerate(network.tasks):
        own = plan[plan_key_of(task.key)]
        found[task.key] = Said(
            job_id=planned.job.pk,
            task_key=task.key.partition(":")[2],
            plan_key=own.key,
            label=task.label,
            stage=own.stage,
            place=place,
            unattended=own.unattended,
            mixes=_mixed(planned, own),
        )
    return found


def asked_for(
    planned: PlannedJob, network: Network, own: Rules, supplied: Supply, grid: Grid
) -> tuple[tuple[Task, ...], set[tuple[str, ...]]]:
    """Return the tasks with training, day and materials as this studio asks for them, and the trainings wanted together."""
    plan = {task.key: task for task in planned.made.tasks}
    tasks, trainings = [], set()
    for task in network.tasks:
        of_plan = plan[plan_key_of(task.key)]
        skills = skills_for(of_plan, planned, own)
        if skills:
            trainings.add(skills)
        tasks.append(
            replace(
                task,
                skill=said_together(skills),
                by_day=task.by_day or by_day_only(of_plan, own),
                opens=max(task.opens, supplied.opening(planned, of_plan, grid)),
            )
        )
    return tuple(tasks), trainings


def _mixed(planned: PlannedJob, task: PlanTask) -> str:
    return planned.materials["rubber"].name if task.key.startswith(MIXED_AT) else ""
