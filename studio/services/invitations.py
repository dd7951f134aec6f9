"""Single-use links: to open an account, to set a new password, to open the first owner's account.

A link carries 256 random bits; the database keeps only their hash, so a copy of the database opens nothing. No mail
server is assumed: the link is shown once, to be handed over by whoever made it.
"""

import logging
from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from studio.access import Role
from studio.models import Account, Invitation
from studio.services.accounts import change_password
from studio.services.errors import InvitationError
from studio.services.secret_links import hash_of, new_token

log = logging.getLogger("studio.accounts")

LASTS = {
    Invitation.Purpose.JOIN: timedelta(days=7),
    Invitation.Purpose.RESET: timedelta(days=1),
    Invitation.Purpose.SETUP: timedelta(days=1),
}


def _make(
    *,
    purpose: Invitation.Purpose,
    role: str,
    by: Account | None,
    name: str = "",
    email: str = "",
    account: Account | None = None,
) -> str:
    token = new_token()
    Invitation.objects.create(
        purpose=purpose,
        role=role,
        name=name,
        email=email.strip().lower(),
        account=account,
        invited_by=by,
        token_hash=hash_of(token),
        expires_at=timezone.now() + LASTS[purpose],
    )
    log.info("link made purpose=%s by=%s", purpose.value, by.pk if by else "machine")
    return token


@transaction.atomic
def invite(*, role: Role, by: Account, name: str = "", email: str = "") -> str:
    """Make a link to open an account; an older open link to the same e-mail is withdrawn. Return the token."""
    email = email.strip().lower()
    if email and Account.objects.filter(email=email).exists():
        raise InvitationError(f"{email} already has an account here. Reopen it or make a password link in the list.")
    if email:
        Invitation.objects.still_open().filter(purpose=Invitation.Purpose.JOIN, email=email).update(withdrawn_at=timezone.now())
    return _make(purpose=Invitation.Purpose.JOIN, role=role, by=by, name=name, email=email)


@transaction.atomic
def make_reset_link(*, account_id: int, by: Account | None) -> str:
    """Make a link with which a person sets a new password; an older one is withdrawn. Return the token."""
    account = Account.objects.filter(pk=account_id, is_active=True).first()
    if account is None:
        raise InvitationError("A password link needs an open account. Reopen the account first.")
    Invitation.objects.still_open().filter(account=account).update(withdrawn_at=timezone.now())
    return _make(
        purpose=Invitation.Purpose.RESET,
        role=account.role,
        by=by,
        name=account.name,
        email=account.email,
        account=account,
    )


@transaction.atomic
def owner_setup_link() -> str:
    """Make the address that opens the first owner's account; refuse once any account exists."""
    if Account.objects.exists():
        raise InvitationError("This studio already has accounts. Sign in, or let an owner invite you.")
    Invitation.objects.still_open().filter(purpose=Invitation.Purpose.SETUP).update(withdrawn_at=timezone.now())
    return address_of(_make(purpose=Invitation.Purpose.SETUP, role=Role.OWNER, by=None))


def address_of(token: str) -> str:
    """Return the whole address of a link, as this studio is reached."""
    return settings.PUBLIC_URL + reverse("studio:invitations_accept", args=[token])


@transaction.atomic
def withdraw(*, invitation_id: int) -> Invitation:
    """Make an open link useless; a used one stays as it is."""
    invitation = Invitation.objects.select_for_update().filter(pk=invitation_id).first()
    if invitation is None:
        raise InvitationError("That link does not exist any more. Load the list again.")
    if invitation.used_at:
        raise InvitationError("That link was used already. Close the account it opened instead.")
    if invitation.withdrawn_at is None:
        invitation.withdrawn_at = timezone.now()
        invitation.save(update_fields=["withdrawn_at"])
    return invitation


def look_up(token: str) -> Invitation:
    """Return the link's row while it still opens something; otherwise say why not."""
    return _usable(Invitation.objects.select_related("account").filter(token_hash=hash_of(token)).first())


def _usable(invitation: Invitation | None) -> Invitation:
    if invitation is None:
        raise InvitationError("This link is not known here. Copy the whole address, or ask the owner for a new link.")
    if invitation.used_at:
        raise InvitationError(
            "This link was used already. Sign in with the password that was set, or ask the owner for a new link."
        )
    if invitation.withdrawn_at:
        raise InvitationError("This link was withdrawn. Ask the owner for a new one.")
    if invitation.expires_at <= timezone.now():
        raise InvitationError("This link has run out. Ask the owner for a new one.")
    if invitation.account and not invitation.account.is_active:
        raise InvitationError("This account is closed. Ask the owner to reopen it.")
    if invitation.purpose == Invitation.Purpose.SETUP and Account.objects.exists():
        raise InvitationError("This studio already has an owner. Sign in, or let the owner invite you.")
    return invitation


@transaction.atomic
def open_account(*, token: str, name: str, email: str, password: str) -> Account:
    """Use an invitation up and open the account it offers."""
    invitation = _use_up(token)
    if invitation.account is not None:
        raise InvitationError("This link sets a new password; it opens no account.")
    email = email.strip().lower()
    if Account.objects.filter(email=email).exists():
        raise InvitationError("That e-mail already has an account here. Sign in with it, or use another e-mail.")
    return Account.objects.create_account(email=email, password=password, name=name, role=invitation.role)


@transaction.atomic
def set_new_password(*, token: str, password: str) -> Account:
    """Use a password link up; every session of the account ends."""
    invitation = _use_up(token)
    if invitation.account is None:
        raise InvitationError("This link opens a new account; it does not change a password.")
    change_password(account=invitation.account, password=password)
    return invitation.account


def _use_up(token: str) -> Invitation:
    rows = Invitation.objects.select_for_update(of=("self",)).select_related("account")
    invitation = _usable(rows.filter(token_hash=hash_of(token)).first())
    invitation.used_at = timezone.now()
    invitation.save(update_fields=["used_at"])
    return invitation
