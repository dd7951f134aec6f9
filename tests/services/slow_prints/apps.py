"""An app of the test processes only."""

from django.apps import AppConfig

from studio.access import Right


class SlowPrintsConfig(AppConfig):
    """Register the slow print."""

    name = "tests.services.slow_prints"

    def ready(self) -> None:
        """Make the kind known."""
        from studio.documents.registry import register
        from tests.services.slow_prints.renderer import render_slowly

        register("slow", render_slowly, right=Right.SEE_JOBS)
