"""Accounts of the studio, for whoever may manage them."""

import logging
from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from studio.access import Right, Role, account_of, needs
from studio.forms.accounts import ROLE_CHOICES, RoleForm
from studio.models import Account, Invitation
from studio.services import accounts, invitations
from studio.services.errors import AccountError, InvitationError
from studio.web.htmx import render_page

log = logging.getLogger("studio.accounts")


@require_safe
@needs(Right.MANAGE_ACCOUNTS)
def accounts_list(request: HttpRequest) -> HttpResponse:
    """Show every account and the links that are still open."""
    return accounts_page(request)


@require_POST
@needs(Right.MANAGE_ACCOUNTS)
def accounts_role(request: HttpRequest, pk: int) -> HttpResponse:
    """Give an account another role."""
    form = RoleForm(request.POST)
    if not form.is_valid():
        return accounts_page(request, problem="Choose one of the roles: owner, maker or office.")
    role: Role = form.cleaned_data["role"]
    return _change(request, lambda: accounts.change_role(account_id=pk, role=role), "{name} is now " + _with_article(role) + ".")


@require_POST
@needs(Right.MANAGE_ACCOUNTS)
def accounts_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an account; its person is out with the next click."""
    return _change(request, lambda: accounts.close_account(account_id=pk), "The account of {name} is closed.")


@require_POST
@needs(Right.MANAGE_ACCOUNTS)
def accounts_reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a closed account again."""
    return _change(request, lambda: accounts.reopen_account(account_id=pk), "The account of {name} is open again.")


@require_POST
@needs(Right.MANAGE_ACCOUNTS)
def accounts_reset(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a link with which a person sets a new password, and show it once."""
    try:
        token = invitations.make_reset_link(account_id=pk, by=account_of(request))
    except InvitationError as refused:
        return accounts_page(request, problem=str(refused))
    person = Account.objects.get(pk=pk)
    return link_page(request, token, whom=person.name, purpose=Invitation.Purpose.RESET)


def link_page(request: HttpRequest, token: str, *, whom: str, purpose: Invitation.Purpose) -> HttpResponse:
    """Show a fresh link; it is not kept, so this is the only time."""
    context = {
        "address": invitations.address_of(token),
        "whom": whom,
        "purpose": purpose.value,
        "lasts_days": invitations.LASTS[purpose].days,
    }
    response = render_page(request, "studio/link.html", context, status=201)
    response["Cache-Control"] = "private, no-store"
    return response


def accounts_page(request: HttpRequest, *, problem: str = "") -> HttpResponse:
    """Render the list; a problem stands above it and the answer is 422."""
    context = {
        "accounts": Account.objects.select_related("person"),
        "open_links": Invitation.objects.still_open().select_related("account", "invited_by"),
        "roles": ROLE_CHOICES,
        "problem": problem,
    }
    return render_page(request, "studio/accounts.html", context, status=422 if problem else 200)


def _change(request: HttpRequest, change: Callable[[], Account], said: str) -> HttpResponse:
    try:
        account = change()
    except AccountError as refused:
        return accounts_page(request, problem=str(refused))
    log.info("account changed account=%s by=%s at %s", account.pk, request.user.pk, request.path)
    messages.success(request, said.format(name=account.name))
    return redirect("studio:accounts_list")


def _with_article(role: Role) -> str:
    return {Role.OWNER: "an owner", Role.MAKER: "a maker", Role.OFFICE: "office"}[role]
