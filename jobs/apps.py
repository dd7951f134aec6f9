"""The jobs app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Register what this app prints and what its sweep pushes again."""

    name = "jobs"

    def ready(self) -> None:
        """Make the prints of a job known to the outbox."""
        from jobs.documents import PRINTS
        from studio.access import Right
        from studio.documents import registry

        for one in PRINTS.values():
            registry.register(one.kind, one.render, right=Right.SEE_JOBS)
