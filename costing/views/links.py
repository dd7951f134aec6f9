"""A client's link, from the studio's side: made and shown once, made anew, revoked."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from costing.client.tokens import address_of
from costing.errors import LinkRefused
from costing.forms.link import LinkForm
from costing.models import Quote
from costing.services.links import make_link, revoke_link
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page


@needs(Right.CHANGE_QUOTES)
@require_POST
def quote_link_make(request: HttpRequest, number: int, version: int) -> HttpResponse:
    """Make a link, which ends the one before, and show it this once."""
    quote = _quote(number, version)
    form = LinkForm(request.POST)
    if form.is_valid():
        try:
            token = make_link(quote=quote, by=account_of(request), last_day_on=form.cleaned_data["last_day_on"])
        except LinkRefused as refused:
            form.add_error("last_day_on", str(refused))
        else:
            shown = {"address": address_of(token), "last_day": form.cleaned_data["last_day_on"]}
            return _unlinked(_page(request, quote, shown, status=200))
    return _page(request, quote, {"form": form}, status=422)


@needs(Right.CHANGE_QUOTES)
@require_POST
def quote_link_revoke(request: HttpRequest, number: int, version: int) -> HttpResponse:
    """Make the link useless."""
    quote = _quote(number, version)
    if revoke_link(quote=quote, by=account_of(request)):
        messages.success(request, f"The client’s link to {quote} opens nothing any more.")
    else:
        messages.info(request, f"{quote} had no link; nothing was changed.")
    return redirect("costing:quote_show", number=number, version=version)


def _quote(number: int, version: int) -> Quote:
    found: Quote = get_object_or_404(Quote.objects.select_related("job__client"), number=number, version=version)
    return found


def _page(request: HttpRequest, quote: Quote, more: dict[str, Any], *, status: int) -> HttpResponse:
    return render_page(request, "costing/link_made.html", {"quote": quote, **more}, status=status)


def _unlinked(response: HttpResponse) -> HttpResponse:
    """Keep a page that shows a secret address out of caches and of what other sites learn."""
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "same-origin"
    return response
