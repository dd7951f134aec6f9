"""Refusals in the studio's units."""

from decimal import Decimal

from materials.errors import MaterialsError
from materials.templatetags.stock import exact_mass
from studio.web.context import current_profile


def said(refused: MaterialsError) -> str:
    """Return the sentence of a refusal with its masses in the studio's units."""
    profile = current_profile()

    def show(mass_g: Decimal) -> str:
        return str(exact_mass(mass_g, profile))

    return refused.said(show)
