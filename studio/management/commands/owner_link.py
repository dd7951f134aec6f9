"""Print a link for whoever runs the machine: to open the first owner's account, or for an owner who lost the password."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio.access import Role
from studio.models import Account
from studio.services.errors import InvitationError
from studio.services.invitations import address_of, make_reset_link, owner_setup_link


class Command(BaseCommand):
    """Access to the machine is what proves the right to this link."""

    help = "Print a single-use link: to open the first owner's account, or with --for to give an owner a new password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the owner's e-mail."""
        parser.add_argument("--for", dest="email", default="", metavar="E-MAIL", help="an owner who lost the password")

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        """Print the address."""
        try:
            address = self._reset_address(options["email"]) if options["email"] else owner_setup_link()
        except InvitationError as refused:
            raise CommandError(f"{refused} An owner who lost the password: owner_link --for E-MAIL") from None
        self.stdout.write("Open this address within a day; it works once:")
        self.stdout.write(address)

    def _reset_address(self, email: str) -> str:
        account = Account.objects.filter(email=email.strip().lower(), role=Role.OWNER).first()
        if account is None:
            raise CommandError("No owner here has that e-mail.")
        return address_of(make_reset_link(account_id=account.pk, by=None))
