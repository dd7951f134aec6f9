"""The jobs app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Configuration of the jobs app."""

    name = "jobs"
