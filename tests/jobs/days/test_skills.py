"""Who may do what: skills, isocyanate training that lapses, and stages that are never done in the evening."""

import datetime

import pytest

from jobs.days.inputs import laid_out
from jobs.days.skills import ISOCYANATES
from jobs.models import Plan
from jobs.scheduling.result import faults_of
from studio.models import Person, Skill, StageRule
from studio.workrates import Stage
from tests.factories import starter_material
from tests.jobs.days.studio import as_laid, looked_for

pytestmark = pytest.mark.django_db


def tasks_of(laid, stage: Stage):
    return [task for task in laid.fresh.tasks if laid.said[task.key].stage is stage]


class TestSkillsFor:
    def test_ask_for_isocyanate_training_where_the_material_holds_them(self, drum) -> None:
        laid = laid_out()
        assert {task.skill for task in tasks_of(laid, Stage.CAST)} == {ISOCYANATES}
        assert {task.skill for task in tasks_of(laid, Stage.COATS)} == {""}
        Plan.objects.filter(job=drum).update(
            rubber=starter_material("polyurethane-rubber-40a"), shell_kind="none", thickener=None
        )
        assert {task.skill for task in tasks_of(laid_out(), Stage.COATS)} == {ISOCYANATES}

    def test_join_what_a_rule_asks_for(self, drum, ann) -> None:
        frame = Skill.objects.create(name="frame")
        StageRule.objects.create(stage=Stage.CAST.value, skill=frame, by_day=True)
        ann.skills.add(frame)
        laid = laid_out()
        assert {task.skill for task in tasks_of(laid, Stage.CAST)} == {f"frame and {ISOCYANATES}"}
        assert {one.label for one in laid.fresh.people if f"frame and {ISOCYANATES}" in one.skills} == {"Ann"}

    def test_say_who_must_be_trained(self, drum) -> None:
        Person.objects.update(isocyanate_trained_on=None, isocyanate_trained_until_on=None)
        assert f"trained for {ISOCYANATES}" in looked_for().reason


class TestTrainingOf:
    def test_lapses_at_the_end_of_its_last_day(self, drum, ann) -> None:
        Person.objects.exclude(pk=ann.pk).update(isocyanate_trained_on=None, isocyanate_trained_until_on=None)
        Person.objects.filter(pk=ann.pk).update(isocyanate_trained_until_on=datetime.date(2026, 3, 20))
        laid = laid_out()
        (one,) = [person for person in laid.fresh.people if person.skills]
        assert laid.grid.at(one.until[ISOCYANATES]) == datetime.datetime(2026, 3, 21, tzinfo=datetime.UTC)
        found = looked_for()
        assert faults_of(*as_laid(found)) == []
        cast = [entry for entry in found.entries.all() if entry.stage == "cast"]
        assert {entry.people.get() for entry in cast} == {ann}
        assert max(entry.ends_at for entry in cast).date() <= datetime.date(2026, 3, 20)


class TestByDay:
    def test_is_the_usual_rule_until_there_is_one_of_the_studio(self, drum) -> None:
        laid = laid_out()
        assert {task.by_day for task in tasks_of(laid, Stage.SHELL)} == {True}
        StageRule.objects.create(stage=Stage.SHELL.value, by_day=False)
        StageRule.objects.create(stage=Stage.FINISH.value, by_day=True)
        laid = laid_out()
        assert {task.by_day for task in tasks_of(laid, Stage.SHELL)} == {False}
        assert {task.by_day for task in tasks_of(laid, Stage.FINISH)} == {True}

    def test_holds_for_vacuum_whatever_the_rules(self, drum) -> None:
        Plan.objects.filter(job=drum).update(deairing="vacuum")
        laid = laid_out()
        drawn = [task for task in tasks_of(laid, Stage.COATS) if laid.said[task.key].plan_key.startswith("coat_1")]
        assert {task.by_day for task in drawn} == {True}
