"""Single-use links: making one, using one, withdrawing one."""

import logging

from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from studio.access import Right, account_of, needs, open_to_all
from studio.forms.accounts import InviteForm, NewPasswordForm, OpenAccountForm
from studio.models import Account, Invitation
from studio.services import invitations
from studio.services.errors import InvitationError
from studio.views.accounts import accounts_page, link_page
from studio.web.htmx import render_page
from studio.web.sessions import begin_session

log = logging.getLogger("studio.accounts")

BACKEND = "django.contrib.auth.backends.ModelBackend"


@require_http_methods(["GET", "POST"])
@needs(Right.MANAGE_ACCOUNTS)
def invitations_add(request: HttpRequest) -> HttpResponse:
    """Invite somebody: make a link and show it once."""
    form = InviteForm(request.POST or None, initial={"role": "maker"})
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            token = invitations.invite(role=typed["role"], by=account_of(request), name=typed["name"], email=typed["email"])
        except InvitationError as refused:
            form.add_error("email", str(refused))
        else:
            return link_page(request, token, whom=typed["name"], purpose=Invitation.Purpose.JOIN)
    return render_page(request, "studio/invite.html", {"form": form}, status=422 if request.method == "POST" else 200)


@require_POST
@needs(Right.MANAGE_ACCOUNTS)
def invitations_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Make an open link useless."""
    try:
        invitation = invitations.withdraw(invitation_id=pk)
    except InvitationError as refused:
        return accounts_page(request, problem=str(refused))
    log.info("link withdrawn invitation=%s by=%s", pk, request.user.pk)
    messages.success(request, f"The link for {invitation.name or 'nobody in particular'} opens nothing any more.")
    return redirect("studio:accounts_list")


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("new_password", "again")
@open_to_all
def invitations_accept(request: HttpRequest, token: str) -> HttpResponse:
    """Use a link: open the account it offers, or set a new password."""
    try:
        invitation = invitations.look_up(token)
        form = _form(request, invitation)
        if request.method == "POST" and form.is_valid():
            account = _use(form, token)
            login(request, account, backend=BACKEND)
            begin_session(request.session)
            log.info("link used purpose=%s account=%s", invitation.purpose, account.pk)
            messages.success(request, f"Welcome, {account.name}. From now on you sign in with {account.email}.")
            return redirect("studio:home")
    except InvitationError as refused:
        return _unlinked(render_page(request, "studio/link_refused.html", {"problem": str(refused)}, status=410))
    context = {"form": form, "invitation": invitation}
    return _unlinked(render_page(request, "studio/accept.html", context, status=422 if request.method == "POST" else 200))


def _form(request: HttpRequest, invitation: Invitation) -> NewPasswordForm:
    data = request.POST if request.method == "POST" else None
    if invitation.account is not None:
        return NewPasswordForm(data, account=invitation.account)
    return OpenAccountForm(data, account=Account(), initial={"name": invitation.name, "email": invitation.email})


def _use(form: NewPasswordForm, token: str) -> Account:
    typed = form.cleaned_data
    if isinstance(form, OpenAccountForm):
        return invitations.open_account(token=token, name=typed["name"], email=typed["email"], password=typed["new_password"])
    return invitations.set_new_password(token=token, password=typed["new_password"])


def _unlinked(response: HttpResponse) -> HttpResponse:
    """Keep the address, which carries a secret, out of caches and of what other sites learn.

    "no-referrer" would make browsers send "Origin: null" with the form, which the forgery check rightly refuses.
    """
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "same-origin"
    return response
