"""Figures of a price that is recomputed while somebody types.

{% load pricing %}
{% costed fig %}        a figure with two steps of its working; struck through beside it what it was (`was` in the context)
{% costed fig 1 %}      with one step: for sums whose parts stand on the same page

An estimate shows some seventy figures at once, and each could unfold down to the tape readings: that would be most of the
answer and most of the wait. What lies deeper stands on the job's other pages.
"""

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from costing.frozen import pruned
from studio.figures import Figure
from studio.web import baseline
from studio.web.context import current_profile
from studio.web.working import figure_html, shown_of

register = template.Library()


@register.simple_tag(takes_context=True)
def costed(context: Context, figure: Figure, steps: int = 2) -> SafeString:
    """Print a figure beside what it was when the page was opened, with so many steps of its working."""
    profile = current_profile()
    shown = baseline.pair(figure, context.get("was") or {}, lambda item: str(shown_of(item, profile)))
    return figure_html(pruned(figure, steps), profile, was=shown.was)
