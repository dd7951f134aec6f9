"""What was ticked and typed on the buying list.

{% load buying %}  {% ticked line ticked %} writes " checked"; {% typed_day typed line %} the day of a line's field
"""

from collections.abc import Collection, Mapping

from django import template

from jobs.services.buying import BuyLine

register = template.Library()


@register.simple_tag
def ticked(line: BuyLine, chosen: Collection[str] | None) -> str:
    """Say whether a line is ticked: all are at first, and then those that were."""
    return " checked" if chosen is None or str(line.material.pk) in chosen else ""


@register.simple_tag
def typed_day(typed: Mapping[int, str], line: BuyLine) -> str:
    """Return what stands in a line's field for the day."""
    return typed.get(line.material.pk, "")
