"""What work asks people to be trained for, and who is, until when."""

import datetime
from collections.abc import Iterable, Mapping

from jobs.days.clock import Grid, local
from jobs.days.plans import CURED_BY, OF_RUBBER, PlannedJob
from jobs.planning.results import Task
from jobs.planning.work.work import VACUUM_CHAMBER, plain_key
from materials.properties import Chemistry
from studio.models import Person
from studio.services.people import training_until
from studio.services.skills import RuleNow
from studio.workrates import Stage

# standard: Regulation (EU) 2020/1149, REACH Annex XVII entry 74: nobody works with diisocyanates without training.
ISOCYANATES = "isocyanates"
_BARE_HANDS = {"reinforcement_cut", "cut_scrap"}
Rules = Mapping[Stage, RuleNow]


def skills_for(task: Task, planned: PlannedJob, own: Rules) -> tuple[str, ...]:
    """Return what each of the people at a task must be trained for, in order; nothing where nothing is asked."""
    wanted = set()
    field = "rubber" if plain_key(task.key) in OF_RUBBER else CURED_BY.get(task.stage, "")
    material = planned.materials.get(field)
    if material is not None and material.chemistry is Chemistry.POLYURETHANE and plain_key(task.key) not in _BARE_HANDS:
        wanted.add(ISOCYANATES)
    rule = own.get(task.stage)
    if rule is not None and rule.skill is not None:
        wanted.add(rule.skill.name)
    return tuple(sorted(wanted))


def said_together(skills: Iterable[str]) -> str:
    """Return skills as the one word that the scheduling core knows them by, and says in its sentences."""
    return " and ".join(skills)


def by_day_only(task: Task, own: Rules) -> bool:
    """Say whether a task is never done in hours from home.

    Vacuum is left for the day whatever the studio's rules are.
    """
    rule = own.get(task.stage)
    return task.station == VACUUM_CHAMBER or (rule is not None and rule.by_day)


def training_of(person: Person, wanted: Iterable[tuple[str, ...]], grid: Grid) -> tuple[frozenset[str], dict[str, int]]:
    """Return which of the wanted trainings a person has, and the step by which those that lapse must have been used.

    Parameters
    ----------
    person : Person
        With their skills fetched.
    wanted : iterable of tuple of str
        As `skills_for` returns them.
    grid : Grid
        The grid.
    """
    own = {skill.name for skill in person.skills.all()}
    lasts = _isocyanates_until(person)
    ends = None if lasts is None else grid.step_of(local(lasts + datetime.timedelta(days=1), datetime.time(0)))
    has, until = set(), {}
    for together in wanted:
        plain = [skill for skill in together if skill != ISOCYANATES or skill in own]
        if not own.issuperset(plain):
            continue
        if len(plain) < len(together):
            if ends is None or ends <= 0:
                continue
            until[said_together(together)] = ends
        has.add(said_together(together))
    return frozenset(has), until


def _isocyanates_until(person: Person) -> datetime.date | None:
    if person.isocyanate_trained_until_on is not None or person.isocyanate_trained_on is None:
        return person.isocyanate_trained_until_on
    return training_until(person.isocyanate_trained_on)
