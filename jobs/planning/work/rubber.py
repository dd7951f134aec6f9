"""Work with fresh rubber: each coat at each position, gauge blocks, fill, parting strip, keys."""

from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import Coat, CoatPlace, CoatRole, Task
from jobs.planning.rubber.mix_minutes import air_minutes_per_mix
from jobs.planning.sums import scaled
from jobs.planning.work.before import CUT_SCRAP, POUR_STRIP, board_task, turn_task
from jobs.planning.work.work import BENCH, HEATS, VACUUM_CHAMBER, Work, and_mixes, at_position, times
from studio.figures import Figure
from studio.workrates import Stage


def coat_tasks(brief: PlanBrief, work: Work, *, after: str) -> list[Task]:
    """List all coats at one position, then the turn and the board of the next position, and so on."""
    tasks: list[Task] = []
    waits_for: tuple[str, ...] = (after,)
    for position in range(1, work.positions + 1):
        if position > 1:
            tasks.append(turn_task(brief, work, position, waits_for=waits_for))
            tasks.append(board_task(brief, position, work.positions, waits_for=(tasks[-1].key,)))
            waits_for = (tasks[-1].key,)
        for coat in work.coats:
            task = coat_task(brief, work, coat, position, waits_for)
            tasks.append(task)
            waits_for = (task.key,)
            if coat is work.coats[0] and len(work.coats) > 1 and work.gauges is not None:
                tasks.append(_gauges(brief, work, work.gauges.count, position, waits_for))
                waits_for = (task.key, tasks[-1].key)
    return tasks


def closing_tasks(brief: PlanBrief, work: Work, *, after: str) -> list[Task]:
    """List what fresh rubber fixes to the finished coats: fill, parting strip, keys; the last of them cures before the shell."""
    tasks: list[Task] = []
    last, gel_min, handling = after, work.coats[-1].earliest_next.value, rate(brief.rates, "mix_handling_min")
    if work.fill is not None:
        beside = (CUT_SCRAP,) if work.fill.scrap_mass.value > 0 else ()
        tasks.append(
            Task(key="fill", label="Place the fill", stage=Stage.FILL, waits_for=(last, *beside), wait_after_min=gel_min,
                 minutes=work.fill.minutes.renamed(key="task_fill", label="Placing the fill"),
                 unattended=not _heats(brief))
        )  # fmt: skip
        last = "fill"
    if work.strip is not None:
        fitting = rate(brief.rates, "parting_strip_min_per_m")
        tasks.append(
            Task(key="parting_strip", label="Glue and pin the parting strip on", stage=Stage.COATS,
                 waits_for=(last, POUR_STRIP), wait_after_min=gel_min,
                 minutes=and_mixes(
                     times("parting_strip", "Parting strip", fitting, work.strip.length, "length × minutes per metre"),
                     handling, len(work.strip.glue_mixes),
                 ))
        )  # fmt: skip
        last = "parting_strip"
    if work.stand is not None and work.stand.keys.value > 0:
        setting = rate(brief.rates, "key_min")
        tasks.append(
            Task(key="keys", label="Shape and set the keys", stage=Stage.COATS, waits_for=(last,), wait_after_min=gel_min,
                 minutes=and_mixes(times("keys", "Keys", setting, work.stand.keys, "keys × minutes each"),
                                   handling, len(work.stand.key_mixes)))
        )  # fmt: skip
    if tasks:
        tasks[-1] = replace(tasks[-1], wait_after_min=work.cure_min)
    return tasks


def is_closed_by_rubber(work: Work) -> bool:
    """Say whether more fresh rubber follows on the last coat."""
    keys = work.stand is not None and work.stand.keys.value > 0
    return work.fill is not None or work.strip is not None or keys


def coat_task(brief: PlanBrief, work: Work, coat: Coat, position: int, waits_for: tuple[str, ...]) -> Task:
    """Return the laying or pouring of a coat at one position."""
    key = at_position(f"coat_{coat.number}", position, work.positions)
    place: CoatPlace = coat.places[position - 1]
    last_coat, last_position = coat is work.coats[-1], position == work.positions
    where = "" if work.positions == 1 else f", position {position}"
    number = "" if len(work.coats) == 1 else f" ({coat.number} of {len(work.coats)})"
    drawn = not coat.thickened and air_minutes_per_mix(brief) is not None
    closed = coat.role is not CoatRole.POUR and is_closed_by_rubber(work)
    ends = last_coat and last_position and not closed
    bonds_on = not last_coat or (last_position and closed)
    return Task(
        key=key,
        label=f"{coat.role.label}{number}{where}",
        stage=Stage.COATS,
        minutes=place.minutes.renamed(key=f"task_{key}", label=coat.role.label),
        people=brief.people_per_coat,
        station=VACUUM_CHAMBER if drawn else BENCH,
        wait_after_min=work.cure_min if ends else coat.earliest_next.value,
        latest_next_min=coat.latest_next.value if bonds_on and coat.latest_next is not None else None,
        waits_for=waits_for,
        position=None if work.positions == 1 else position,
        # A thin print coat tears and gathers dust while it is soft; a coat that loses its bond must be followed.
        unattended=coat.role is not CoatRole.PRINT
        and (coat.leave_overnight or not bonds_on)
        and not (coat.role is CoatRole.POUR and _heats(brief)),
    )


def _gauges(brief: PlanBrief, work: Work, blocks: Figure, position: int, waits_for: tuple[str, ...]) -> Task:
    """Return the setting of the gauge blocks at one position: they stand on the gelled print coat."""
    key = at_position("gauges", position, work.positions)
    coat = work.coats[0]
    share = coat.places[position - 1].area.value / max(coat.area.value, 1e-12)
    if work.positions > 1:
        blocks = scaled(blocks, share, key=f"{key}_count", label="Gauge blocks here", unit="1",
                        formula="gauge blocks × share of this position")  # fmt: skip
    return Task(
        key=key, label="Set the gauge blocks" + ("" if work.positions == 1 else f", position {position}"), stage=Stage.COATS,
        minutes=times(key, "Gauge blocks", rate(brief.rates, "gauge_min"), blocks, "blocks × minutes each"),
        waits_for=waits_for, position=None if work.positions == 1 else position, unattended=False,
    )  # fmt: skip


def _heats(brief: PlanBrief) -> bool:
    """Say whether a mass of this rubber warms itself while it cures; silicones hardly do."""
    return brief.rubber.chemistry in HEATS
