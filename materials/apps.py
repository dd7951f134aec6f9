"""The materials app."""

from django.apps import AppConfig


class MaterialsConfig(AppConfig):
    """Configuration of the materials app."""

    name = "materials"
