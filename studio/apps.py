"""The studio app: people, hours, rates, stations, the document outbox and the web's common parts."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    """Wire the Celery app as soon as Django is ready."""

    name = "studio"

    def ready(self) -> None:
        """Import the Celery app so that shared tasks find it."""
        from studio import celery  # noqa: F401
