"""Skills and stage rules as they are typed."""

from typing import Any

from django import forms

from studio.models import Person, Skill
from studio.services.skills import WORKED, RuleNow, rules_now
from studio.web.forms import PaperForm
from studio.workrates import Stage


class SkillForm(PaperForm):
    """Something that not everybody may or can do, and who can."""

    name = forms.CharField(
        label="Skill", max_length=60, error_messages={"required": "Type what it is, for example “laying glass”."}
    )
    note = forms.CharField(label="Note", max_length=200, required=False)
    people = forms.ModelMultipleChoiceField(
        label="Who has it", queryset=Person.objects.none(), required=False, widget=forms.CheckboxSelectMultiple,
        error_messages=dict.fromkeys(("invalid_choice", "invalid_pk_value"), "Tick people from the list only."),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people: Any = self.fields["people"]
        people.queryset = Person.objects.filter(active=True)


def typed_from(skill: Skill) -> dict[str, Any]:
    """Return what the form shows for a skill."""
    return {"name": skill.name, "note": skill.note, "people": list(skill.people.filter(active=True))}


class StageRulesForm(PaperForm):
    """One line for each stage: the skill it asks for, and whether it is kept in bench hours."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.now = rules_now()
        skills = [("", "nobody in particular"), *((str(skill.pk), skill.name) for skill in Skill.objects.all())]
        for stage, rule in self.now.items():
            self.fields[f"skill_{stage.value}"] = forms.ChoiceField(
                label=f"{stage.label} asks for", choices=skills, required=False, initial=rule.skill.pk if rule.skill else "",
                error_messages={"invalid_choice": "That skill was removed. Choose another one."},
            )  # fmt: skip
            self.fields[f"by_day_{stage.value}"] = forms.BooleanField(
                label=f"{stage.label} in bench hours only", required=False, initial=rule.by_day
            )

    def rules(self) -> dict[Stage, RuleNow]:
        """Return the rules as they were typed."""
        skills = {str(skill.pk): skill for skill in Skill.objects.all()}
        return {
            stage: RuleNow(
                skill=skills.get(self.cleaned_data[f"skill_{stage.value}"]), by_day=self.cleaned_data[f"by_day_{stage.value}"]
            )
            for stage in WORKED
        }
