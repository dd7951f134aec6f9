"""The jobs app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Register what this app prints and what its sweep pushes again."""

    name = "jobs"

    def ready(self) -> None:
        """Make the cure-schedule handout known to the outbox."""
        from jobs.documents import HANDOUT_KIND, render_handout
        from studio.access import Right
        from studio.documents import registry

        registry.register(HANDOUT_KIND, render_handout, right=Right.SEE_JOBS)
