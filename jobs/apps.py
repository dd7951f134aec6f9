"""The jobs app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Register what this app prints and what its sweep pushes again."""

    name = "jobs"

    def ready(self) -> None:
        """Make the prints of a job known to the outbox."""
        from jobs.documents import PRINTS
        from jobs.documents.day_sheet import render_day_sheet
        from jobs.services.day_sheets import DAY_SHEET_KIND
        from studio.access import Right
        from studio.documents import registry

        for one in PRINTS.values():
            registry.register(one.kind, one.render, right=Right.SEE_JOBS)
        registry.register(DAY_SHEET_KIND, render_day_sheet, right=Right.SEE_JOBS)
