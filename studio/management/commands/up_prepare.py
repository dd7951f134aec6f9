"""Bring the database, the static files and the first content into order before the studio starts."""

import hashlib
import logging
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command, get_commands
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from studio.models import Account


def static_stamp() -> str:
    """Return what changes whenever a static file does: every name, size and time of change."""
    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list([]):
            status = Path(storage.path(name)).stat()
            digest.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())
    return digest.hexdigest()


class Command(BaseCommand):
    """Run by `up` and once by the container set-up; safe to run again."""

    help = __doc__ or ""

    def add_arguments(self, parser: CommandParser) -> None:
        """Let the caller leave the demo studio out."""
        parser.add_argument("--no-demo", action="store_true", help="leave an empty studio empty")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Migrate, collect, fill."""
        # What happens here is told by this command itself; the logs begin with the server.
        logging.disable(logging.INFO)
        try:
            self._migrate()
        except DatabaseError as problem:
            raise CommandError(f"The database cannot be used: {str(problem).strip()}") from problem
        self._collect_static()
        self._compile_kernels()
        if not Account.objects.exists():
            self._first_content(demo=not options["no_demo"])

    def _migrate(self) -> None:
        executor = MigrationExecutor(connection)
        plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if plan:
            self.stdout.write(f"Setting up the database ({len(plan)} steps)")
            call_command("migrate", interactive=False, verbosity=0)

    def _collect_static(self) -> None:
        path, stamp = Path(settings.STATIC_ROOT).with_suffix(".stamp"), static_stamp()
        if path.exists() and path.read_text() == stamp and Path(settings.STATIC_ROOT).is_dir():
            return
        call_command("collectstatic", interactive=False, verbosity=0, clear=True)
        path.write_text(stamp)

    def _compile_kernels(self) -> None:
        from jobs.geometry.kernels import KernelsLate
        from jobs.geometry.mesh_child import kernels_are_ready, ready_to_measure

        if kernels_are_ready():
            return
        self.stdout.write("Compiling what measures scans (once, about half a minute)")
        try:
            compiled = ready_to_measure() is not None
        except KernelsLate:
            self.stdout.write("  That takes long on this machine; the worker goes on with it when the first scan comes.")
            return
        if not compiled:
            self.stdout.write("  That did not work here; walls over scans are computed by formula instead.")

    def _first_content(self, *, demo: bool) -> None:
        if demo and "demo" in get_commands():
            self.stdout.write("Loading the demo studio")
            call_command("demo", verbosity=0)
            return
        from studio.services.invitations import owner_setup_link

        self.stdout.write(f"No account exists yet. Open the owner's account with this link, once:\n  {owner_setup_link()}")
