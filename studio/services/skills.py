"""Skills, who has them, and what each stage of the work asks for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import Prefetch

from studio.models import Person, Skill, StageRule
from studio.services.errors import SkillError
from studio.workrates import BENCH_HOURS_ONLY, Stage

# Stages in which somebody works with their hands.
WORKED = tuple(stage for stage in Stage if stage is not Stage.MATERIAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleNow:
    """What holds for a stage: who may do it, and whether it is kept out of hours from home."""

    skill: Skill | None
    by_day: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovedSkill:
    """A skill that was removed, with all that hung on it."""

    name: str
    note: str
    people: list[int]
    stages: list[str]


def rules_now() -> dict[Stage, RuleNow]:
    """Return the rule of every worked stage: the studio's own, else the usual one."""
    own = {rule.stage: rule for rule in StageRule.objects.select_related("skill")}
    return {
        stage: RuleNow(skill=rule.skill, by_day=rule.by_day)
        if (rule := own.get(stage.value))
        else RuleNow(skill=None, by_day=stage in BENCH_HOURS_ONLY)
        for stage in WORKED
    }


def skills_with_people() -> list[Skill]:
    """Return every skill with those who work here and have it (`holders`), and the rules it is part of."""
    working = Prefetch("people", queryset=Person.objects.filter(active=True), to_attr="holders")
    return list(Skill.objects.prefetch_related(working, "rules"))


@transaction.atomic
def save_skill(*, skill: Skill | None, name: str, note: str, people: Iterable[Person]) -> Skill:
    """Add a skill, or change one, and say who has it; those who no longer work here keep theirs."""
    taken = Skill.objects.filter(name__iexact=name)
    if (taken.exclude(pk=skill.pk) if skill else taken).exists():
        raise _name_taken(name)
    saved = skill or Skill()
    saved.name, saved.note = name, note
    try:
        with transaction.atomic():
            saved.save()
    except IntegrityError:
        raise _name_taken(name) from None
    saved.people.set([*people, *saved.people.filter(active=False)])
    return saved


@transaction.atomic
def remove_skill(*, skill_id: int) -> RemovedSkill:
    """Remove a skill and lift the rules that ask for it; return all of it, so that it can be brought back."""
    skill = Skill.objects.select_for_update().filter(pk=skill_id).first()
    if skill is None:
        raise SkillError("This skill was removed already.")
    stages = list(skill.rules.values_list("stage", flat=True))
    removed = RemovedSkill(
        name=skill.name, note=skill.note, people=list(skill.people.values_list("pk", flat=True)), stages=stages
    )
    skill.delete()
    _drop_usual_rules()
    return removed


@transaction.atomic
def bring_skill_back(*, removed: RemovedSkill) -> Skill:
    """Put a removed skill back: who had it, and the rules that asked for it and ask for no other since."""
    skill = save_skill(skill=None, name=removed.name, note=removed.note, people=Person.objects.filter(pk__in=removed.people))
    standing = {rule.stage: rule for rule in StageRule.objects.select_for_update()}
    for stage in removed.stages:
        rule = standing.get(stage) or StageRule(stage=stage, by_day=Stage(stage) in BENCH_HOURS_ONLY)
        if rule.skill_id is None:
            rule.skill = skill
            rule.save()
    return skill


@transaction.atomic
def set_stage_rules(*, rules: Mapping[Stage, RuleNow]) -> None:
    """Keep the studio's rules; a stage whose rule is the usual one keeps no row."""
    for stage, rule in rules.items():
        if stage not in WORKED:
            raise SkillError("There is no work in this stage. Load the page again.")
        StageRule.objects.update_or_create(stage=stage.value, defaults={"skill": rule.skill, "by_day": rule.by_day})
    _drop_usual_rules()


def _drop_usual_rules() -> None:
    for usual in (True, False):
        stages = [stage.value for stage in WORKED if (stage in BENCH_HOURS_ONLY) is usual]
        StageRule.objects.filter(skill=None, by_day=usual, stage__in=stages).delete()


def _name_taken(name: str) -> SkillError:
    return SkillError(f"There is a skill called “{name}” already. Give this one another name.")
