"""Signing in and out."""

import logging
from datetime import datetime, timedelta
from typing import Any

from axes.helpers import get_cool_off
from axes.models import AccessAttempt
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, resolve_url
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from studio.access import open_to_all
from studio.forms.accounts import SignInForm
from studio.models import Account
from studio.web.htmx import render_page
from studio.web.sessions import ENDED, begin_session

log = logging.getLogger("studio.accounts")

NOT_TOGETHER = "This e-mail and this password do not open an account here. Check both and try again."


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("password")
@open_to_all
def sign_in(request: HttpRequest) -> HttpResponse:
    """Let somebody in by e-mail and password."""
    wanted = request.POST.get("next", request.GET.get("next", ""))
    if request.method == "GET":
        if request.user.is_authenticated:
            return redirect(safe_address(wanted))
        if not Account.objects.exists():
            return redirect("studio:home")
        return _page(request, SignInForm(), wanted)
    form = SignInForm(request.POST)
    if not form.is_valid():
        return _page(request, form, wanted, status=422)
    account = authenticate(request, username=form.cleaned_data["username"], password=form.cleaned_data["password"])
    if account is None:
        log.warning("sign-in refused")
        form.add_error(None, NOT_TOGETHER)
        return _page(request, form, wanted, status=422)
    login(request, account)
    begin_session(request.session)
    log.info("sign-in account=%s", account.pk)
    return HttpResponseRedirect(safe_address(wanted))


@require_POST
@open_to_all
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this session on the server, not only in the browser."""
    if request.user.is_authenticated:
        log.info("sign-out account=%s", request.user.pk)
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("studio:sign_in")


def too_many_tries(request: HttpRequest, _answer: HttpResponse | None, credentials: dict[str, Any] | None = None) -> HttpResponse:
    """Say that too many tries failed, and when the next one counts."""
    context = {"retry_at": retry_at(request, (credentials or {}).get("username", ""))}
    return render_page(request, "429.html", context, status=429)


def retry_at(request: HttpRequest, username: str) -> datetime:
    """Return when the next try for this e-mail from this address counts."""
    pause: timedelta = get_cool_off(request)
    tries = AccessAttempt.objects.filter(username=username, ip_address=getattr(request, "axes_ip_address", None))
    last = tries.order_by("-attempt_time").values_list("attempt_time", flat=True).first()
    start: datetime = last or timezone.now()
    return start + pause


def safe_address(wanted: str) -> str:
    """Return where somebody wanted to go if that is a page of this studio, the start page otherwise."""
    if wanted.startswith("/") and wanted.isprintable() and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None):
        return wanted
    return resolve_url("studio:home")


def _page(request: HttpRequest, form: SignInForm, wanted: str, *, status: int = 200) -> HttpResponse:
    ended = request.session.get(ENDED, "")
    context = {"form": form, "next": wanted if safe_address(wanted) == wanted else "", "ended": ended}
    context["home"] = reverse("studio:home")
    return render_page(request, "studio/sign_in.html", context, status=status)
