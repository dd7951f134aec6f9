"""The costing app."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    """Configuration of the costing app."""

    name = "costing"
