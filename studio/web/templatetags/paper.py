"""What every page is built from. Usage, after `{% load paper %}`:

{% figure fig %}                       number, paler unit, opens its working; {% figure fig was="1.20 kg" %} strikes the old
{% working fig %}                      the working alone, opened
{% quantity 1240 "g" %}                1.24 kg or 2.73 lb; keep=True stays with g (or oz); low= high= limit the digits
{% money amount %}                     amount in the studio's currency; {% money amount "USD" %} in another
{% when moment %}  {% day date %}      "Thu 14:30"; "Thu 26 Nov"
{% field form.name %}                  label, control, unit in its end, help, "understood as", error
{% faults form %}                      the summary above a refused form (also non-field errors); put it first in <form>
{% titleblock title="Finial" number=12 facts=facts figures=figures state="in plan" tone="quiet" %}
                                       facts: pairs (label, value); figures: Figure, or pairs (label, html)
{% print_titleblock title="Quote" number="2026-014" facts=facts figures=figures %}   in print pages, block titleblock
{% state "late" "stop" %}              quiet | look | stop | done, a shape and a word
{% caution caution %}                  a studio.figures.Caution, or three strings: hazard, what happens, how to avoid
{% remark remark %}                    a studio.figures.Remark
{% empty "No jobs yet. Each commission will stand here." address "Add the first job" %}
{% page_link "jobs:jobs_list" "Jobs" %} a link, or the bare words where that page is not installed

Markup without a tag:
  <ol class="daybook"><li><span class="date"/><span class="what"><a class="whole"/></span><span class="num"/>
  <table class="ruled"> with th/td.num; on a phone each td[data-label="Rubber"] gets its own line with that label
  <a class="whole"> in a row or line makes all of it pressable; <p class="sentence"> around a filter's selects
  <nav class="stages" aria-label="Stages of the job"><ol><li><a aria-current="page">; <dl class="pairs"><div><dt/><dd/></div>
  <div class="message" data-tone="quiet|look|stop|done">; <div class="beside"><div/><figure class="plate"/> (drawing next to text)
  <button>, <a class="button">, each with .quiet or .danger; <div class="actions"> around them; .aside (small, pale); .hint
  <div class="fields"> sets short fields side by side; body_class "bench" for pages at arm's length
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.forms import CheckboxInput, ClearableFileInput, Form, Select
from django.forms.boundfield import BoundField
from django.template import Context
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from studio.figures import Caution, Figure, Remark
from studio.web import formats
from studio.web.baseline import pair
from studio.web.context import profile_in
from studio.web.quantities import show
from studio.web.topline import address_of
from studio.web.working import figure_html, figure_text, quantity_html, shown_of, working_html

register = template.Library()

TONES = ("quiet", "look", "stop", "done")


def _profile(context: Context) -> Any:
    return profile_in({"profile": context.get("profile")})


@register.simple_tag(takes_context=True)
def figure(context: Context, fig: Figure | None, was: str = "") -> SafeString:
    """Print a computed number that opens to its working."""
    if fig is None:
        return format_html('<span class="number">{}</span>', formats.NO_VALUE)
    return figure_html(fig, _profile(context), was=was)


@register.simple_tag(takes_context=True)
def working(context: Context, fig: Figure) -> SafeString:
    """Print the working of a figure, open."""
    return working_html(fig, _profile(context))


@register.simple_tag(takes_context=True)
def quantity(
    context: Context,
    value: float | Decimal | None,
    unit: str,
    keep: bool = False,
    low: float | None = None,
    high: float | None = None,
) -> SafeString:
    """Print a number in the studio's units."""
    return quantity_html(show(value, unit, _profile(context), keep=keep, low=low, high=high))


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Decimal | float | None, currency: str = "") -> SafeString:
    """Print an amount that is rounded already."""
    if amount is None:
        return format_html('<span class="number">{}</span>', formats.NO_VALUE)
    profile = _profile(context)
    text = formats.money_text(formats.amount_of(amount), currency or profile.currency, formats.locale_code(profile))
    return format_html('<span class="number">{}</span>', text)


@register.simple_tag(takes_context=True)
def when(context: Context, moment: datetime | None) -> SafeString:
    """Print a moment with its weekday, in the studio's time zone."""
    if moment is None:
        return format_html("<span>{}</span>", formats.NO_VALUE)
    text = formats.when_text(moment, timezone.now(), formats.locale_code(_profile(context)))
    return format_html('<time datetime="{}">{}</time>', moment.isoformat(), text)


@register.simple_tag(takes_context=True)
def day(context: Context, on: date | None) -> SafeString:
    """Print a date with its weekday."""
    if on is None:
        return format_html("<span>{}</span>", formats.NO_VALUE)
    text = formats.day_text(on, timezone.localdate(), formats.locale_code(_profile(context)))
    return format_html('<time datetime="{}">{}</time>', on.isoformat(), text)


@register.simple_tag(takes_context=True)
def month(context: Context, on: date) -> str:
    """Write a month with its year."""
    return formats.month_text(on, formats.locale_code(_profile(context)))


@register.inclusion_tag("components/field.html")
def field(bound: BoundField, note: str = "", quiet: bool = False) -> dict[str, Any]:
    """Print a form field with all that belongs to it; a quiet one leaves it to its form to say that it may stay empty."""
    inner: Any = bound.field
    name = bound.auto_id or bound.html_name
    understood = (
        inner.understood(bound.value()) if hasattr(inner, "understood") and bound.form.is_bound and not bound.errors else ""
    )
    unit = getattr(inner, "unit_label", "") or bound.field.widget.attrs.get("data-unit", "")
    said = {"help": bound.help_text or note, "unit": unit, "understood": understood, "error": bound.errors}
    described = " ".join(f"{name}_{part}" for part in ("error", "unit", "understood", "help") if said[part])
    attrs: dict[str, Any] = {"aria-describedby": described} if described else {}
    if bound.errors:
        attrs["aria-invalid"] = "true"
    elif inner.required and not bound.use_fieldset:
        attrs["aria-required"] = "true"
    widget = bound.field.widget
    return {
        "bound": bound,
        "name": name,
        "control": bound.as_widget(attrs=attrs),
        # A list to choose from says so itself: its first line is "not chosen".
        "optional": not quiet and not inner.required and not isinstance(widget, CheckboxInput | Select),
        "tick": isinstance(widget, CheckboxInput),
        "file": isinstance(widget, ClearableFileInput),
        "group": bound.use_fieldset,
        "errors": list(bound.errors),
        **{key: said[key] for key in ("help", "unit", "understood")},
    }


@register.inclusion_tag("components/faults.html")
def faults(form: Form) -> dict[str, Any]:
    """Print what is wrong with a refused form, each line a link to its field."""
    bounds = [bound for bound in form if bound.errors and not bound.is_hidden] if form.is_bound else []
    hidden = [error for bound in form.hidden_fields() for error in bound.errors] if form.is_bound else []
    return {"whole": [*form.non_field_errors(), *hidden] if form.is_bound else [], "bounds": bounds}


@register.inclusion_tag("components/titleblock.html", takes_context=True)
def titleblock(
    context: Context,
    title: str,
    number: Any = "",
    facts: Sequence[tuple[str, Any]] | Mapping[str, Any] = (),
    figures: Sequence[Any] = (),
    state: str = "",
    tone: str = "quiet",
    level: int = 1,
) -> dict[str, Any]:
    """Print a title block as on a drawing; beside figures that changed since the page was opened (`was`) the old ones."""
    profile = _profile(context)
    before = context.get("was") or {}
    pairs = [(label, _said(context, value)) for label, value in (facts.items() if isinstance(facts, Mapping) else facts)]
    cells = [
        (item.label, figure_html(item, profile, was=pair(item, before, lambda one: figure_text(one, profile)).was))
        if isinstance(item, Figure)
        else tuple(item)
        for item in figures
    ]
    return {"title": title, "number": number, "facts": pairs, "cells": cells, "state": state, "tone": tone, "level": level}


@register.inclusion_tag("components/print_titleblock.html", takes_context=True)
def print_titleblock(
    context: Context,
    title: str,
    number: Any = "",
    facts: Sequence[tuple[str, Any]] | Mapping[str, Any] = (),
    figures: Sequence[Any] = (),
) -> dict[str, Any]:
    """Print the title block of a PDF, lower right on its first page; figures are bare, a sheet does not unfold."""
    profile = _profile(context)
    pairs = [(label, _said(context, value)) for label, value in (facts.items() if isinstance(facts, Mapping) else facts)]
    cells = [
        (item.label, quantity_html(shown_of(item, profile))) if isinstance(item, Figure) else tuple(item) for item in figures
    ]
    return {"title": title, "number": number, "pairs": [*pairs, *cells], "profile": profile}


def _said(context: Context, value: Any) -> Any:
    """Write dates and moments as everywhere else; other values stand as they are."""
    if isinstance(value, datetime):
        return when(context, value)
    return day(context, value) if isinstance(value, date) else value


@register.simple_tag
def state(word: str, tone: str = "quiet") -> SafeString:
    """Print a state in words with the shape of its tone."""
    if tone not in TONES:
        raise ValueError(f"A state's tone is one of {', '.join(TONES)}, not {tone!r}.")
    return format_html('<span class="state" data-tone="{}">{}</span>', tone, word)


@register.inclusion_tag("components/caution.html")
def caution(hazard: Caution | str, consequence: str = "", avoid: str = "") -> dict[str, str]:
    """Print the hazard, what it does, and how to avoid it."""
    if isinstance(hazard, Caution):
        return {"hazard": hazard.hazard, "consequence": hazard.consequence, "avoid": hazard.avoid}
    return {"hazard": hazard, "consequence": consequence, "avoid": avoid}


@register.inclusion_tag("components/remark.html", takes_context=True)
def remark(context: Context, note: Remark) -> dict[str, Any]:
    """Print something that the plan wants looked at, with its figures."""
    profile = _profile(context)
    return {"note": note, "cells": [(fig.label, figure_html(fig, profile)) for fig in note.figures]}


@register.inclusion_tag("components/empty.html")
def empty(text: str, address: str = "", action: str = "") -> dict[str, str]:
    """Say what will stand here, and offer the one action that fills it."""
    return {"text": text, "address": address, "action": action}


@register.simple_tag
def page_link(name: str, words: str) -> SafeString:
    """Print a link to a page by its URL name, or the bare words where that page is not installed."""
    address = address_of(name)
    return format_html('<a href="{}">{}</a>', address, words) if address else format_html("<span>{}</span>", words)


@register.filter
def tone(level: str) -> str:
    """Turn a message's level into its tone."""
    return {"success": "done", "warning": "look", "error": "stop"}.get(level, "quiet")
