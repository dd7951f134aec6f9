"""Changes to accounts: name, password, role, open or closed."""

from django.db import transaction
from django.utils import timezone

from studio.access import Role
from studio.models import Account
from studio.services.errors import AccountError

LAST_OWNER = (
    "{name} is the only owner whose account is open; somebody must be able to run the studio. Make another person an owner first."
)


def rename_account(*, account: Account, name: str) -> None:
    """Change the name an account goes by."""
    account.name = name
    account.save(update_fields=["name"])


@transaction.atomic
def change_password(*, account: Account, password: str) -> None:
    """Set a checked password; every session signed in before this moment ends."""
    account.set_password(password)
    account.session_key_floor = timezone.now()
    account.save(update_fields=["password", "session_key_floor"])


def end_sessions(*, account: Account) -> None:
    """End every session of an account that was signed in before this moment."""
    account.session_key_floor = timezone.now()
    account.save(update_fields=["session_key_floor"])


@transaction.atomic
def change_role(*, account_id: int, role: Role) -> Account:
    """Give an account another role; the last open owner keeps theirs."""
    account = _locked(account_id)
    if role != Role.OWNER:
        _refuse_last_owner(account)
    account.role = role
    account.save(update_fields=["role"])
    return account


@transaction.atomic
def close_account(*, account_id: int) -> Account:
    """Take access away at once; what the person did stays under their name."""
    account = _locked(account_id)
    _refuse_last_owner(account)
    account.is_active = False
    account.session_key_floor = timezone.now()
    account.save(update_fields=["is_active", "session_key_floor"])
    account.reset_links.filter(used_at=None, withdrawn_at=None).update(withdrawn_at=timezone.now())
    return account


@transaction.atomic
def reopen_account(*, account_id: int) -> Account:
    """Let a closed account sign in again, with the password it had."""
    account = _locked(account_id)
    account.is_active = True
    account.save(update_fields=["is_active"])
    return account


def _locked(account_id: int) -> Account:
    """Lock every owner with the account, in one order, so that two changes cannot both think another owner is left."""
    locked = Account.objects.select_for_update().filter(role=Role.OWNER).order_by("pk")
    list(locked.values_list("pk", flat=True))
    try:
        return Account.objects.select_for_update().get(pk=account_id)
    except Account.DoesNotExist:
        raise AccountError("That account does not exist any more. Load the list again.") from None


def _refuse_last_owner(account: Account) -> None:
    others = Account.objects.filter(role=Role.OWNER, is_active=True).exclude(pk=account.pk)
    if account.role == Role.OWNER and account.is_active and not others.exists():
        raise AccountError(LAST_OWNER.format(name=account.name))
