"""Options of a job's next quote: the list, adding, changing, ordering and removing them, each undone by one step."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.engine.brief import Terms
from costing.engine.cost import Cost
from costing.errors import CostingError
from costing.forms.options import OptionForm, initial_of
from costing.inputs import money_places, terms_of, terms_values
from costing.models import OfferOption
from costing.services import options
from costing.services.quotes import latest_quote
from jobs.models import Job
from jobs.views.loading import job_or_404
from studio.access import Right, account_of, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web.htmx import render_page, wants_partial

TEMPLATE, ONE, PRICE = "costing/options.html", "costing/option.html", "option-price"
UNDO = "option_undo"


@needs(Right.CHANGE_QUOTES)
@require_safe
def options_show(request: HttpRequest, number: int) -> HttpResponse:
    """List the options that the next quote of a job will offer."""
    return _list(request, job_or_404(number))


@needs(Right.CHANGE_QUOTES)
@require_POST
def option_add(request: HttpRequest, number: int) -> HttpResponse:
    """Add an option at the end; a try only shows the price that it would have."""
    job = job_or_404(number)
    form = _form(request, job)
    priced = _suggested(request, job, form)
    if _tried(request):
        return _price(request, form, priced) if wants_partial(request) else _list(request, job, form, priced)
    if form.is_valid():
        try:
            told = options.add_option(job=job, values=_values(form, priced), by=account_of(request))
        except CostingError as refused:
            form.add_error(None, str(refused))
        else:
            return _done(request, job, told)
    return _list(request, job, form, priced)


@needs(Right.CHANGE_QUOTES)
@require_http_methods(["GET", "HEAD", "POST"])
def option_change(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Show one option to change; on POST keep it, or only show the price that it would have."""
    job = job_or_404(number)
    option = OfferOption.objects.filter(job=job, pk=pk).first()
    if option is None:
        raise Http404("No option of this job has this number.")
    if request.method != "POST":
        form = _fresh(job, request.profile, option)  # type: ignore[attr-defined]
        terms, places = _terms(request, job)
        return _one(request, job, option, form, {"suggested": options.suggestion(option, terms, places)})
    form = _form(request, job)
    priced = _suggested(request, job, form)
    if _tried(request):
        return _price(request, form, priced) if wants_partial(request) else _one(request, job, option, form, priced)
    if form.is_valid():
        try:
            told = options.change_option(
                job=job, pk=pk, values=_values(form, priced), seen=form.cleaned_data["seen"], by=account_of(request)
            )
        except CostingError as refused:
            option = OfferOption.objects.filter(job=job, pk=pk).first()
            if option is None:
                messages.error(request, str(refused))
                return redirect("costing:options_show", number=number)
            data = request.POST.copy()
            data["seen"] = options.seen_mark(option)
            form = OptionForm(data, profile=form.profile, tax_percent=_terms(request, job)[0].tax_percent)
            form.is_valid()
            form.add_error(None, str(refused))
        else:
            return _done(request, job, told)
    return _one(request, job, option, form, priced)


@needs(Right.CHANGE_QUOTES)
@require_POST
def option_move(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Move an option one place up or down."""
    job, up = job_or_404(number), request.POST.get("to") == "up"
    try:
        told = options.move_option(job=job, pk=pk, up=up)
    except CostingError as refused:
        messages.error(request, str(refused))
        return redirect("costing:options_show", number=number)
    return _done(request, job, told)


@needs(Right.CHANGE_QUOTES)
@require_POST
def option_remove(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Take an option off the list; the page offers to bring it back."""
    job = job_or_404(number)
    try:
        told = options.remove_option(job=job, pk=pk)
    except CostingError as refused:
        messages.error(request, str(refused))
        return redirect("costing:options_show", number=number)
    return _done(request, job, told)


@needs(Right.CHANGE_QUOTES)
@require_POST
def options_back(request: HttpRequest, number: int) -> HttpResponse:
    """Undo the last change that was made here."""
    job = job_or_404(number)
    try:
        options.put_back_options(job=job, told=request.session.get(UNDO) or {})
    except CostingError as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The options are as they were before.")
    request.session.pop(UNDO, None)
    return redirect("costing:options_show", number=number)


def _done(request: HttpRequest, job: Job, told: options.Told) -> HttpResponse:
    request.session[UNDO] = told
    return redirect("costing:options_show", number=job.number)


def _tried(request: HttpRequest) -> bool:
    return request.POST.get("action") != "keep"


def _terms(request: HttpRequest, job: Job) -> tuple[Terms, int]:
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    return terms_values(terms_of(job), profile), money_places(profile)


def _form(request: HttpRequest, job: Job) -> OptionForm:
    return OptionForm(request.POST, profile=request.profile, tax_percent=_terms(request, job)[0].tax_percent)  # type: ignore[attr-defined]


def _fresh(job: Job, profile: StudioProfile, option: OfferOption | None = None) -> OptionForm:
    initial = initial_of(option) if option else {"quantity": 1}
    return OptionForm(initial=initial, profile=profile, tax_percent=terms_values(terms_of(job), profile).tax_percent)


def _suggested(request: HttpRequest, job: Job, form: OptionForm) -> dict[str, Any]:
    """Price what was typed: the price suggested, and the line that it or the typed price makes."""
    if not form.is_valid():
        return {}
    terms, places = _terms(request, job)
    values = dict(form.values)
    try:
        suggested: Cost | None = options.suggestion(OfferOption(**values), terms, places)
        if values["unit_price"] is None and suggested is not None:
            values["unit_price"] = suggested.unit_price
        return {"suggested": suggested, "line": options.priced_line_of(OfferOption(**values), terms, places)}
    except WorkingError as error:
        form.add_error(None, str(error))
        return {}


def _values(form: OptionForm, priced: dict[str, Any]) -> dict[str, Any]:
    return {**form.values, "unit_price": priced["line"].unit_price}


def _price(request: HttpRequest, form: OptionForm, priced: dict[str, Any]) -> HttpResponse:
    context = {**priced, "faults": form.faults, "refusals": form.non_field_errors()}
    return render_page(request, TEMPLATE, context, partial=PRICE, status=422 if form.errors else 200)


def _list(request: HttpRequest, job: Job, form: OptionForm | None = None, priced: dict[str, Any] | None = None) -> HttpResponse:
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    terms, places = _terms(request, job)
    told = request.session.get(UNDO) or {}
    context = {
        "job": job,
        "form": form or _fresh(job, profile),
        "options": options.priced_options(job, terms, places),
        "most": options.MOST_OPTIONS,
        "undo": told.get("words", "") if told.get("job") == job.pk else "",
        "latest": latest_quote(job),
        **(priced or {}),
    }
    refused = form is not None and bool(form.errors)
    return render_page(request, TEMPLATE, context, status=422 if refused else 200)


def _one(request: HttpRequest, job: Job, option: OfferOption, form: OptionForm, priced: dict[str, Any]) -> HttpResponse:
    context = {"job": job, "option": option, "form": form, **priced}
    return render_page(request, ONE, context, status=422 if form.is_bound and form.errors else 200)
