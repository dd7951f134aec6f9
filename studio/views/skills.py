"""Skills, who has them, and the rules of the stages."""

from dataclasses import asdict

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.skills import SkillForm, StageRulesForm, typed_from
from studio.models import Person, Skill
from studio.services import skills
from studio.services.errors import SkillError
from studio.web.htmx import render_page
from studio.workrates import BENCH_HOURS_ONLY, Stage

REMOVED = "removed_skill"


@require_safe
@needs(Right.SEE_STUDIO)
def skills_list(request: HttpRequest) -> HttpResponse:
    """List skills and the rules of the stages."""
    return _page(request, StageRulesForm())


@require_POST
@needs(Right.CHANGE_STUDIO)
def stage_rules_set(request: HttpRequest) -> HttpResponse:
    """Keep the rules of all stages."""
    form = StageRulesForm(request.POST)
    if form.is_valid():
        try:
            skills.set_stage_rules(rules=form.rules())
        except SkillError as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "The rules are kept. They count when the days are planned anew.")
            return redirect("studio:skills_list")
    return _page(request, form, status=422)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def skills_add(request: HttpRequest) -> HttpResponse:
    """Add a skill."""
    return _edit(request, None, "{} is added.")


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def skills_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a skill and who has it."""
    return _edit(request, get_object_or_404(Skill, pk=pk), "{} is saved.")


@require_POST
@needs(Right.CHANGE_STUDIO)
def skills_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a skill; the page offers to put it back."""
    try:
        removed = skills.remove_skill(skill_id=pk)
    except SkillError as refused:
        return _page(request, StageRulesForm(), problem=str(refused), status=422)
    request.session[REMOVED] = {**asdict(removed), "lifted": ", ".join(Stage(stage).label for stage in removed.stages)}
    return redirect("studio:skills_list")


@require_POST
@needs(Right.CHANGE_STUDIO)
def skills_return(request: HttpRequest) -> HttpResponse:
    """Put back the skill that was removed last."""
    kept = request.session.get(REMOVED)
    if kept is None:
        problem = "There is nothing to put back: it was put back already, or too long ago."
        return _page(request, StageRulesForm(), problem=problem, status=422)
    removed = skills.RemovedSkill(**{name: kept[name] for name in ("name", "note", "people", "stages")})
    try:
        skills.bring_skill_back(removed=removed)
    except SkillError as refused:
        return _page(request, StageRulesForm(), problem=str(refused), status=422)
    del request.session[REMOVED]
    messages.success(request, f"{removed.name} is back, with who had it and the rules that asked for it.")
    return redirect("studio:skills_list")


def _edit(request: HttpRequest, skill: Skill | None, said: str) -> HttpResponse:
    form = SkillForm(request.POST or None, initial=typed_from(skill) if skill else {})
    heading = skill.name if skill else "A new skill"
    if request.method == "POST" and form.is_valid():
        try:
            saved = skills.save_skill(skill=skill, **form.cleaned_data)
        except SkillError as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, said.format(saved.name))
            return redirect("studio:skills_list")
    rules = [rule.get_stage_display() for rule in skill.rules.all()] if skill else []
    anybody = Person.objects.filter(active=True).exists()
    context = {"form": form, "skill": skill, "heading": heading, "rules": rules, "anybody": anybody}
    return render_page(request, "studio/skill.html", context, status=422 if request.method == "POST" else 200)


def _page(request: HttpRequest, form: StageRulesForm, *, problem: str = "", status: int = 200) -> HttpResponse:
    found = skills.skills_with_people()
    held = {skill.pk for skill in found if skill.holders}  # type: ignore[attr-defined]
    lines = [
        (stage, rule, stage in BENCH_HOURS_ONLY, form[f"skill_{stage.value}"], form[f"by_day_{stage.value}"])
        for stage, rule in form.now.items()
    ]
    context = {
        "skills": found,
        "lines": lines,
        "nobody_for": [(stage, rule.skill) for stage, rule in form.now.items() if rule.skill and rule.skill.pk not in held],
        "form": form,
        "problem": problem,
        "removed": request.session.get(REMOVED),
        "may_change": account_of(request).may(Right.CHANGE_STUDIO),
    }
    return render_page(request, "studio/skills.html", context, status=status)
