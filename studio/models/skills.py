"""What people are trained for, and what each stage of the work asks for."""

from django.db import models

from studio.workrates import Stage


class Skill(models.Model):
    """Something that not everybody in the studio may or can do."""

    name = models.CharField(max_length=60, unique=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StageRule(models.Model):
    """The studio's own rule for a stage of the work; a stage without one keeps the usual rule."""

    stage = models.CharField(max_length=12, choices=[(stage.value, stage.label) for stage in Stage], unique=True)
    skill = models.ForeignKey(Skill, on_delete=models.SET_NULL, null=True, blank=True, related_name="rules")
    by_day = models.BooleanField("never in hours from home", default=False)

    class Meta:
        ordering = ["stage"]

    def __str__(self) -> str:
        return self.get_stage_display()
