"""A person's own account: name, password, signing out everywhere else."""

import logging

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from studio.access import Role, account_of, for_anyone_signed_in, rights_of
from studio.forms.accounts import NameForm, PasswordChangeForm
from studio.services import accounts
from studio.web.context import current_profile
from studio.web.htmx import render_page
from studio.web.sessions import IDLE_LIMIT, WHOLE_LIMIT, begin_session

log = logging.getLogger("studio.accounts")


@require_http_methods(["GET", "POST"])
@for_anyone_signed_in
def account_show(request: HttpRequest) -> HttpResponse:
    """Show the own account and change its name."""
    account = account_of(request)
    form = NameForm(request.POST or None, initial={"name": account.name})
    status = 200
    if request.method == "POST":
        if form.is_valid():
            accounts.rename_account(account=account, name=form.cleaned_data["name"])
            messages.success(request, "Your name is changed.")
            return redirect("studio:account_show")
        status = 422
    hidden = current_profile().money_hidden_from_makers
    context = {
        "form": form,
        "account": account,
        "role": Role(account.role).value,
        "rights": sorted(rights_of(account.role, money_hidden_from_makers=hidden), key=lambda right: right.name),
        "idle_hours": IDLE_LIMIT.total_seconds() / 3600,
        "whole_days": WHOLE_LIMIT.days,
    }
    return render_page(request, "studio/account.html", context, status=status)


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("current", "new_password", "again")
@for_anyone_signed_in
def password_change(request: HttpRequest) -> HttpResponse:
    """Change the own password; every other session of the account ends."""
    account = account_of(request)
    form = PasswordChangeForm(request.POST or None, account=account)
    if request.method == "POST" and form.is_valid():
        accounts.change_password(account=account, password=form.cleaned_data["new_password"])
        update_session_auth_hash(request, account)
        begin_session(request.session)
        log.info("password changed account=%s", account.pk)
        messages.success(request, "Your password is changed. You are signed out everywhere else.")
        return redirect("studio:account_show")
    return render_page(request, "studio/password.html", {"form": form}, status=422 if request.method == "POST" else 200)


@require_POST
@for_anyone_signed_in
def sessions_end(request: HttpRequest) -> HttpResponse:
    """Sign the own account out everywhere else."""
    account = account_of(request)
    accounts.end_sessions(account=account)
    request.session.cycle_key()
    begin_session(request.session)
    log.info("sessions ended account=%s", account.pk)
    messages.success(request, "You are signed out everywhere else.")
    return redirect("studio:account_show")
