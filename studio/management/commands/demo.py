"""Load the demo studio into an empty installation."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio.demo.load import NotEmpty, load_demo


class Command(BaseCommand):
    """Fill an empty installation with an invented studio."""

    help = __doc__ or ""

    def handle(self, *_args: Any, **options: Any) -> None:
        """Load and tell the sign-in."""
        try:
            accounts = load_demo()
        except NotEmpty as refused:
            raise CommandError(str(refused)) from refused
        for account in accounts if options["verbosity"] else ():
            self.stdout.write(f"{account['email']}   {account['passphrase']}   ({account['role']})")
