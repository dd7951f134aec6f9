"""Figures on a page that previews its terms: `{% compared fig %}` strikes through what the page showed before."""

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from studio.figures import Figure
from studio.web import baseline
from studio.web.context import profile_in
from studio.web.working import figure_html, shown_of

register = template.Library()


@register.simple_tag(takes_context=True)
def compared(context: Context, figure: Figure) -> SafeString:
    """Print a figure; where the page's `before` has another text for it, that stands before it, struck through."""
    profile = profile_in({"profile": context.get("profile")})
    shown = baseline.pair(figure, context.get("before") or {}, lambda fig: str(shown_of(fig, profile)))
    return figure_html(figure, profile, was=shown.was)
