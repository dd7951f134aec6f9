"""Accounts (who may sign in) and invitations."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone

from studio.access import Right, Role, rights_of


class AccountManager(BaseUserManager["Account"]):
    """Create accounts; the e-mail address is the name to sign in with."""

    def create_account(self, *, email: str, password: str | None, name: str, role: str, **extra: Any) -> "Account":
        """Create an account with a hashed password."""
        account = self.model(email=email.strip().lower(), name=name, role=role, **extra)
        account.set_password(password)
        account.full_clean(exclude=["password"])
        account.save(using=self._db)
        return account

    def get_by_natural_key(self, username: str | None) -> "Account":
        """Find an account by e-mail, whatever its letter case."""
        return self.get(email=(username or "").strip().lower())


class Account(AbstractBaseUser):
    """Somebody who may sign in, with one role."""

    email = models.EmailField("e-mail", unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=[(role.value, role.value) for role in Role])
    is_active = models.BooleanField("open", default=True)
    session_key_floor = models.DateTimeField(default=timezone.now, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects: ClassVar[AccountManager] = AccountManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=[role.value for role in Role]), name="account_role_known"),
        ]

    def __str__(self) -> str:
        return self.name

    def rights(self) -> frozenset[Right]:
        """Return what this account may do today."""
        from studio.models.profile import StudioProfile

        hidden = self.role == Role.MAKER and StudioProfile.objects.current().money_hidden_from_makers
        return rights_of(self.role, money_hidden_from_makers=hidden)

    def may(self, right: Right) -> bool:
        """Say whether this account holds a right."""
        return self.is_active and right in self.rights()


class InvitationQuerySet(models.QuerySet["Invitation"]):
    """Questions about single-use links."""

    def still_open(self) -> "InvitationQuerySet":
        """Keep links that still open something: not used, not withdrawn, not expired."""
        return self.filter(used_at=None, withdrawn_at=None, expires_at__gt=timezone.now())


class Invitation(models.Model):
    """A single-use link that lets somebody set a password; only the token's hash is kept."""

    class Purpose(models.TextChoices):
        JOIN = "join", "open an account"
        RESET = "reset", "set a new password"
        SETUP = "setup", "open the first owner's account"

    purpose = models.CharField(max_length=6, choices=Purpose, default=Purpose.JOIN)
    account = models.ForeignKey(Account, on_delete=models.CASCADE, null=True, blank=True, related_name="reset_links")
    email = models.EmailField("e-mail", blank=True)
    name = models.CharField(max_length=120, blank=True)
    role = models.CharField(max_length=10, choices=[(role.value, role.value) for role in Role])
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    invited_by = models.ForeignKey(Account, on_delete=models.SET_NULL, null=True, blank=True, related_name="invitations")
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(
                condition=(models.Q(purpose="reset") & models.Q(account__isnull=False))
                | (~models.Q(purpose="reset") & models.Q(account__isnull=True)),
                name="only_a_reset_link_has_an_account",
            ),
            models.CheckConstraint(
                condition=models.Q(used_at=None) | models.Q(withdrawn_at=None), name="used_link_not_withdrawn"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role} {self.email}".strip()
