"""The end of a mold: cutting it up for scrap, throwing it away, bringing it back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.errors import MoldRefused
from jobs.forms.mold_ends import NEW, CutUpForm, ThrowAwayForm
from jobs.models import Mold
from jobs.services import mold_ends as services
from jobs.views.molds import mold_or_404, passport
from materials.errors import MaterialsError
from materials.inputs import specs
from materials.science.material import MaterialSpec
from materials.services.scrap_worth import CUTTING, SEATING, Terms, terms_now, worth_of
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.figures import Given, Source, SourceKind
from studio.web.context import current_profile
from studio.web.htmx import render_page


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def kept_mold_cut(request: HttpRequest, pk: int) -> HttpResponse:
    """Cut a mold up for scrap in one step."""
    mold = mold_or_404(pk)
    rubber = specs([mold.rubber_id])[mold.rubber_id] if mold.rubber_id else None
    bins = services.fitting_bins(rubber)
    person = getattr(account_of(request), "person", None)
    initial = {
        "into": str(bins[0].bin.pk) if bins and not bins[0].differs else NEW if not bins else "", "mass_g": mold.mass_g,
        "cut_on": timezone.localdate(), "person": person, "washed": True, **services.new_bin_facts(mold, rubber),
    }  # fmt: skip
    form = CutUpForm(request.POST if request.method == "POST" else None, initial=initial, bins=bins)
    if form.is_bound and form.is_valid():
        try:
            session = services.cut_up(
                mold_id=pk, rubber=rubber, by=account_of(request), profile=current_profile(), **form.cutting()
            )  # fmt: skip
        except MoldRefused as refused:
            form.add_error(None, str(refused))
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"The mold is cut up; its rubber lies in “{session.scrap_bin.label}”.")
            return redirect("jobs:kept_mold_show", pk=pk)
    terms = terms_now(current_profile())
    context = {
        "mold": mold, "job": mold.job, "form": form, "rubber": rubber, "bins": bins,
        "worth": _worth(mold, rubber, terms), "may_see_money": account_of(request).may(Right.SEE_MONEY),
    }  # fmt: skip
    return render_page(request, "jobs/mold_cut.html", context, status=422 if form.is_bound else 200)


def _worth(mold: Mold, rubber: MaterialSpec | None, terms: Terms) -> object:
    """Return what cutting this mold up is worth by the rates, where it was weighed and the rubber has a price."""
    if mold.mass_g is None:
        return None
    mass = Given(label="Rubber in the mold", value=float(mold.mass_g), unit="g", source=Source(kind=SourceKind.MEASURED))
    minutes = [terms.rates[CUTTING], terms.rates[SEATING]]
    return worth_of(mass, rubber, minutes, terms, prefix=f"mold_{mold.pk}")


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def kept_mold_throw_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a mold away, with why."""
    mold = mold_or_404(pk)
    form = ThrowAwayForm(request.POST if request.method == "POST" else None, initial={"ended_on": timezone.localdate()})
    if form.is_bound and form.is_valid():
        try:
            services.throw_away(mold_id=pk, **form.cleaned_data)
        except MoldRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "It is noted as thrown away. The page offers to bring it back.")
            return redirect("jobs:kept_mold_show", pk=pk)
    context = {"mold": mold, "job": mold.job, "form": form}
    return render_page(request, "jobs/mold_throw_away.html", context, status=422 if form.is_bound else 200)


@require_POST
@needs(Right.CHANGE_STOCK)
def kept_mold_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep an ended mold again."""
    mold = mold_or_404(pk)
    try:
        services.bring_back(mold_id=pk, by=account_of(request))
    except MoldRefused as refused:
        return passport(request, mold, problem=str(refused), status=409)
    except MaterialsError as refused:
        return passport(request, mold, problem=said(refused), status=409)
    messages.success(request, "The mold is kept again.")
    return redirect("jobs:kept_mold_show", pk=pk)
