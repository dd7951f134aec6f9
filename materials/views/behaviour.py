"""How materials behave: curves against temperature, the studio's own timings, and taking them over."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from materials.errors import MaterialsError
from materials.forms.material import MIXED
from materials.forms.trials import HeldForm, TimingForm, TrialForm
from materials.models import Material, MaterialTrial
from materials.properties import MaterialKind
from materials.services import own_values, trials
from materials.services.own_values import PROPERTY_OF
from materials.views.behaviour_page import behaviour_context
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.figures import Figure
from studio.web.forms import PaperForm
from studio.web.htmx import render_page


@dataclass(frozen=True, slots=True, kw_only=True)
class OverviewLine:
    """One kind of timing of one material: how many, what they say, and how far that is from the value in use."""

    kind: str
    count: int
    own: Figure | None
    in_use: Figure | None
    apart: Figure | None
    said: str


@require_safe
@needs(Right.SEE_STOCK)
def behaviour_list(request: HttpRequest) -> HttpResponse:
    """List the materials with how many own timings they have and how far these are from the values in use."""
    found = own_values.own_of_all(Material.objects.curing().in_bench_order())
    context = {
        "timed": [(own.material, [_line(own, kind) for kind in own.by_kind]) for own in found if own.points],
        "untimed": [own.material for own in found if not own.points],
        "may_stock": account_of(request).may(Right.CHANGE_STOCK),
    }
    return render_page(request, "materials/behaviour_list.html", context)


@require_safe
@needs(Right.SEE_STOCK)
def behaviour_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a material's curves with the studio's own points beside them."""
    return _page(request, _material(pk))


@require_POST
@needs(Right.CHANGE_STOCK)
def trial_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a timing down."""
    material = _material(pk)
    form = TimingForm(request.POST, material=material, prefix="timing")
    return _add(request, material, "timing", form)


@require_POST
@needs(Right.CHANGE_STOCK)
def trial_add_held(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what stayed on a card."""
    material = get_object_or_404(Material.objects.of_kind(MaterialKind.RUBBER), pk=pk)
    form = HeldForm(request.POST, material=material, prefix="held")
    return _add(request, material, "held", form)


@require_POST
@needs(Right.CHANGE_STOCK)
def trial_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line out of the counting."""
    trial = _trial(pk)
    done = "The line is removed and no longer counts. It stands under “Removed” and can be brought back."
    return _done(request, trial.material_id, done, partial(trials.remove_trial, trial=trial))


@require_POST
@needs(Right.CHANGE_STOCK)
def trial_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a removed line count again."""
    trial = _trial(pk)
    done = "The line is back and counts again."
    return _done(request, trial.material_id, done, partial(trials.bring_trial_back, trial=trial))


@require_POST
@needs(Right.CHANGE_MATERIALS)
def behaviour_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the studio's own value in place of the one in use."""
    material, kind = _material(pk), request.POST.get("kind", "")
    if kind not in PROPERTY_OF:
        messages.error(request, "Nothing was changed: it was not clear which value to take over. Press the button below it.")
        return redirect("materials:behaviour_show", pk=pk)
    done = "The studio’s own value is in use now, and plans count with it. It can be undone below."
    take = partial(own_values.take_own_values, material=material, kind=kind, by=account_of(request))
    return _done(request, pk, done, take)


@require_POST
@needs(Right.CHANGE_MATERIALS)
def behaviour_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Put back what stood there before the last taking over."""
    done = "The values that stood there before are in use again."
    return _done(request, pk, done, partial(own_values.undo_own_values, material=_material(pk)))


def _done(request: HttpRequest, pk: int, words: str, change: Callable[[], object]) -> HttpResponse:
    """Make a change and say that it is done, or why it is refused; back to the material's page."""
    try:
        change()
    except MaterialsError as refused:
        messages.error(request, said(refused))
    else:
        messages.success(request, words)
    return redirect("materials:behaviour_show", pk=pk)


def _add(request: HttpRequest, material: Material, name: str, form: TrialForm) -> HttpResponse:
    if not form.is_valid():
        return _page(request, material, refused={name: form})
    trial = trials.add_trial(material=material, by=account_of(request), **form.facts())
    messages.success(request, f"The {trial.get_kind_display()} is written down.")
    return redirect("materials:behaviour_show", pk=material.pk)


def _page(request: HttpRequest, material: Material, *, refused: dict[str, PaperForm] | None = None) -> HttpResponse:
    context = behaviour_context(material, account=account_of(request), refused=refused)
    return render_page(request, "materials/behaviour.html", context, status=422 if refused else 200)


def _line(own: own_values.OwnOfMaterial, kind: str) -> OverviewLine:
    value = own.by_kind[kind]
    start = f"material_{own.material.pk}_"

    def here(figure: Figure | None) -> Figure | None:
        return None if figure is None else replace(figure, key=start + figure.key)

    stated = value.stated
    in_use = None if stated is None else Figure(
        key=f"{start}{value.key}", label=stated.label, value=stated.value, unit=stated.unit,
        formula="as stated for the material", source=stated.source, low=stated.low, high=stated.high,
    )  # fmt: skip
    label = own.trials[kind][0].get_kind_display()
    return OverviewLine(
        kind=label, count=len(value.counts), own=here(value.value), in_use=in_use, apart=here(value.apart), said=value.said
    )  # fmt: skip


def _material(pk: int) -> Material:
    material: Material = get_object_or_404(Material.objects.of_kind(*MIXED), pk=pk)
    return material


def _trial(pk: int) -> MaterialTrial:
    trial: MaterialTrial = get_object_or_404(MaterialTrial.objects.select_related("material"), pk=pk)
    return trial
