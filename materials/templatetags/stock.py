"""Masses as the books keep them: to the last thousandth, not rounded to what is known.

{% load stock %}  {% mass lot.on_hand_g %}  {% change line.mass_g %} puts + or − before it
                {% range_of fig %} writes the range of a figure, "25 to 60 min"
"""

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from studio.access import Right
from studio.figures import Figure, high_end, low_end
from studio.web.context import profile_in
from studio.web.converting import convert, to_decimal
from studio.web.formats import locale_code, number_text
from studio.web.quantities import Shown, show_range
from studio.web.unit_table import preferred, unit_of
from studio.web.working import number_html

if TYPE_CHECKING:
    from studio.models import StudioProfile

register = template.Library()

PLACES = 3


def exact_mass(mass_g: Decimal, profile: "StudioProfile", *, signed: bool = False) -> Shown:
    """Write a mass in the studio's small unit with all its places, trailing noughts left out."""
    unit = preferred("g", profile.units)
    amount = round(to_decimal(convert(Fraction(mass_g), "g", unit), digits=15), PLACES)
    places = max(0, min(PLACES, -int(amount.normalize().as_tuple().exponent)))
    text = number_text(amount, places, locale_code(profile))
    return Shown(f"+{text}" if signed and amount > 0 else text, unit_of(unit).symbol)


def _profile(context: Context) -> "StudioProfile":
    return profile_in({"profile": context.get("profile")})


@register.simple_tag(takes_context=True)
def mass(context: Context, mass_g: Decimal) -> SafeString:
    """Print a mass with all its places."""
    return number_html(exact_mass(mass_g, _profile(context)))


@register.simple_tag(takes_context=True)
def change(context: Context, mass_g: Decimal) -> SafeString:
    """Print a change of mass with its sign."""
    return number_html(exact_mass(mass_g, _profile(context), signed=True))


@register.simple_tag(takes_context=True)
def range_of(context: Context, figure: Figure) -> str:
    """Write the range of a figure, or nothing where none is known."""
    if figure.low is None and figure.high is None:
        return ""
    low = low_end(figure)
    high = high_end(figure)
    return show_range(low, high, figure.unit, _profile(context))


@register.filter
def sees_money(user: Any) -> bool:
    """Say whether somebody may see what things cost, for links that stand on every page of the stock."""
    may = getattr(user, "may", None)
    return may is not None and bool(may(Right.SEE_MONEY))
