"""Rates of work: the defaults, their sources, and the studio's own values."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.rates import RateForm
from studio.services import rates
from studio.services.errors import RateError
from studio.services.rates import RateLine
from studio.web.htmx import render_page, wants_partial
from studio.web.quantities import show
from studio.workrates import WorkRateKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the page: the rate, its form for whoever may change it, and what was just done to it."""

    line: RateLine
    form: RateForm | None
    said: str = ""

    @property
    def usual(self) -> str:
        """The usual range in words."""
        kind = self.line.kind
        low, high = show(kind.low, kind.unit), show(kind.high, kind.unit)
        return f"{low.number} to {high}" if low.unit == high.unit else f"{low} to {high}"


@require_safe
@needs(Right.SEE_STUDIO)
def rates_list(request: HttpRequest) -> HttpResponse:
    """List every rate by stage."""
    return _page(request)


@require_POST
@needs(Right.CHANGE_STUDIO)
def rates_set(request: HttpRequest, key: str) -> HttpResponse:
    """Keep the studio's own value; an empty one puts the default back."""
    kind = _kind(key)
    form = RateForm(request.POST, kind=kind)
    if not form.is_valid():
        return _page(request, changed=key, form=form, status=422)
    value = form.cleaned_data["value"]
    if value is None:
        return _reset(request, key)
    rates.set_rate(key=key, value=value, note=form.cleaned_data["note"], by=account_of(request))
    return _done(request, key, f"{kind.label}: plans now use {show(value, kind.unit, keep=True)}.")


@require_POST
@needs(Right.CHANGE_STUDIO)
def rates_reset(request: HttpRequest, key: str) -> HttpResponse:
    """Put the table's default back."""
    _kind(key)
    return _reset(request, key)


def _kind(key: str) -> WorkRateKind:
    try:
        return rates.kind_of(key)
    except RateError as refused:
        raise Http404(str(refused)) from None


def _reset(request: HttpRequest, key: str) -> HttpResponse:
    kind = rates.kind_of(key)
    before = rates.reset_rate(key=key)
    said = f"{kind.label}: the default holds again"
    if before is not None:
        said += f"; your own was {show(before, kind.unit, keep=True)}"
    return _done(request, key, said + ".")


def _done(request: HttpRequest, key: str, said: str) -> HttpResponse:
    if wants_partial(request):
        return _page(request, changed=key, said=said)
    messages.success(request, said)
    return redirect(reverse("studio:rates_list") + f"#{key}")


def _page(
    request: HttpRequest, *, changed: str = "", form: RateForm | None = None, said: str = "", status: int = 200
) -> HttpResponse:
    """Render the list, or only the changed line where htmx asks for it."""
    may_change = account_of(request).may(Right.CHANGE_STUDIO)

    def entry_of(line: RateLine) -> Entry:
        if line.kind.key == changed:
            return Entry(line=line, form=form or _form(line, may_change), said=said)
        return Entry(line=line, form=_form(line, may_change))

    stages = [(stage, [entry_of(line) for line in lines]) for stage, lines in rates.rates_by_stage()]
    if changed and wants_partial(request):
        entry = next(entry for _, entries in stages for entry in entries if entry.line.kind.key == changed)
        return render_page(request, "studio/_rate.html", {"entry": entry}, status=status)
    return render_page(request, "studio/rates.html", {"stages": stages}, status=status)


def _form(line: RateLine, may_change: bool) -> RateForm | None:
    if not may_change:
        return None
    return RateForm(kind=line.kind, initial={"value": line.own.value, "note": line.own.note} if line.own else {})
