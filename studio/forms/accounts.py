"""What people type to sign in, to open an account and to change a password."""

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError

from studio.access import Role
from studio.models import Account
from studio.web.forms import PaperForm

LONGEST_TRIED = 4096


def password_field(*, label: str, autocomplete: str, help_text: str = "") -> forms.CharField:
    """Return a password field that keeps every sign as typed; no maxlength, because browsers cut pasted text to it."""
    return forms.CharField(
        label=label,
        strip=False,
        help_text=help_text,
        widget=forms.PasswordInput(attrs={"autocomplete": autocomplete}),
        error_messages={"required": "Type the password."},
    )


class SignInForm(PaperForm):
    """E-mail and password; whether they belong together is not this form's business."""

    username = forms.EmailField(
        label="E-mail",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
        error_messages={"required": "Type the e-mail of your account.", "invalid": "This is not a whole e-mail address."},
    )
    password = password_field(label="Password", autocomplete="current-password")

    def clean_username(self) -> str:
        """Return the e-mail in small letters, so that tries count for one account however it is typed."""
        return str(self.cleaned_data["username"]).lower()

    def clean_password(self) -> str:
        """Refuse to hash what no account can have as its password."""
        password = str(self.cleaned_data["password"])
        if len(password) > LONGEST_TRIED:
            raise ValidationError("This is far longer than any password here. Type it again.")
        return password


class NewPasswordForm(PaperForm):
    """A new password, typed twice and held against the rules for the person it is for."""

    new_password = password_field(
        label="New password",
        autocomplete="new-password",
        help_text="15 to 128 characters; spaces count. A few words that have nothing to do with each other are good.",
    )
    again = password_field(label="New password again", autocomplete="new-password")

    def __init__(self, *args: Any, account: Account, **kwargs: Any) -> None:
        self.account = account
        super().__init__(*args, **kwargs)

    def person(self) -> Account:
        """Return whose names the password may not be made of."""
        return self.account

    def clean(self) -> dict[str, Any]:
        """Hold the password against the rules, and the second typing against the first."""
        cleaned = super().clean() or self.cleaned_data
        first, again = cleaned.get("new_password"), cleaned.get("again")
        if first:
            try:
                password_validation.validate_password(first, self.person())
            except ValidationError as refused:
                self.add_error("new_password", refused)
        if first and again and first != again:
            self.add_error("again", "This differs from the password above. Type both again.")
        return cleaned


class PasswordChangeForm(NewPasswordForm):
    """The password so far, and the new one."""

    field_order = ["current", "new_password", "again"]
    current = password_field(label="Password so far", autocomplete="current-password")

    def clean_current(self) -> str:
        """Check that the person at the keyboard knows the password so far."""
        current = str(self.cleaned_data["current"])
        if len(current) > LONGEST_TRIED or not self.account.check_password(current):
            raise ValidationError("This is not the password so far. Type it again.")
        return current


class OpenAccountForm(NewPasswordForm):
    """Name, e-mail and password of somebody who was invited."""

    field_order = ["name", "email", "new_password", "again"]
    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Type the name others in the studio know you by."},
    )
    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        help_text="You sign in with it.",
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
        error_messages={"required": "Type an e-mail; you sign in with it.", "invalid": "This is not a whole e-mail address."},
    )

    def clean_email(self) -> str:
        """Return the e-mail in small letters; refuse one that has an account."""
        email = str(self.cleaned_data["email"]).lower()
        if Account.objects.filter(email=email).exists():
            raise ValidationError("That e-mail already has an account here. Sign in with it, or use another e-mail.")
        return email

    def person(self) -> Account:
        """Return the person as typed, for the rule about own words."""
        return Account(name=self.cleaned_data.get("name", ""), email=self.cleaned_data.get("email", ""))


class NameForm(PaperForm):
    """The name an account goes by."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Type the name others in the studio know you by."},
    )


ROLE_CHOICES = [(role.value, role.value.capitalize()) for role in Role]


class RoleForm(PaperForm):
    """One of the roles."""

    role = forms.ChoiceField(label="Role", choices=ROLE_CHOICES, error_messages={"invalid_choice": "Choose one of the roles."})

    def clean_role(self) -> Role:
        """Return the role as the table of rights knows it."""
        return Role(self.cleaned_data["role"])


class InviteForm(RoleForm):
    """Whom to invite, and as what."""

    field_order = ["name", "email", "role"]
    name = forms.CharField(label="Name", max_length=120, error_messages={"required": "Type who the link is for."})
    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        required=False,
        help_text="May stay empty; the person types it with the password.",
        error_messages={"invalid": "This is not a whole e-mail address."},
    )
