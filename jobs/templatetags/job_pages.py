"""Tags of a job's pages.

{% load job_pages %}
{% stages job "price" %}       the stages of a job as links, the named one marked
{% clock moment %}             the time of day in the studio's zone and locale
{% dated moment %}             its day too, however near; {% dated moment on %} leaves out that day
{% planned fig %}              a figure; struck through beside it what it was when the page was opened (`was` in the context);
                               {% planned fig shallow=True %} opens to one level, for long tables
{% printed fig %}              a figure on paper, where nothing unfolds
{% toned reason.tone %}        the tone of a reason or a trouble ("good", "look", "stop") as a word with its shape
{% judged made.verdict %}      whether a rubber cures, likewise
{% source_of reason %}         where it comes from, in words
{% fact_said fact %}           what was said of one task, in a sentence
{% cause_said cause %}         one of the rules that contradict each other, as an answer of the worker has it
{% linked problem %}           what a job lacks, with links to the pages that it names
"""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django import template
from django.template import Context
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.safestring import SafeString

from jobs.job_days.facts_said import fact_sentences
from jobs.job_days.remedies import said_cause
from jobs.models import Job, TaskFact
from jobs.page_links import linked
from jobs.planning.results import Reason
from jobs.tones import OF_OUTCOME, WORDS
from materials.science.compatibility import Verdict
from studio.access import Right
from studio.figures import Figure, Given
from studio.web import baseline
from studio.web.context import current_profile
from studio.web.formats import NO_VALUE, clock_text, day_text, locale_code
from studio.web.templatetags.paper import state
from studio.web.working import figure_html, quantity_html, shown_of, source_words

register = template.Library()

STAGES = (
    ("", "Overview", "jobs:job_show"),
    ("piece", "Piece", "jobs:piece_show"),
    ("mold", "Mold", "jobs:mold_show"),
    ("coats", "Coats", "jobs:coats_show"),
    ("shell", "Shell", "jobs:shell_show"),
    ("castings", "Castings", "jobs:castings_show"),
    ("tasks", "Tasks", "jobs:tasks_show"),
    ("days", "Days", "jobs:job_days_show"),
    ("price", "Price", "costing:price_show"),
    ("alternatives", "Alternatives", "costing:alternatives_show"),
    ("troubles", "Troubles", "jobs:troubles_show"),
    ("after", "After", "costing:after_show"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLink:
    """One link of the stages line."""

    label: str
    address: str
    current: bool


@register.inclusion_tag("jobs/_stages_line.html", takes_context=True)
def stages(context: Context, job: Job, here: str = "") -> dict[str, Any]:
    """Print the stages of a job in order; the price only for those who may see money."""
    account = getattr(context.get("request"), "user", None)
    sees_money = account is not None and account.may(Right.SEE_MONEY)
    links = [
        StageLink(label=label, address=address, current=key == here)
        for key, label, name in STAGES
        if (key != "price" or sees_money) and (address := _address(name, job.number))
    ]
    return {"links": links}


@register.simple_tag(takes_context=True)
def planned(context: Context, figure: Figure | None, shallow: bool = False) -> SafeString:
    """Print a figure beside what it was when the page was opened; a shallow one opens to its own inputs alone."""
    if figure is None:
        return SafeString("—")
    profile = current_profile()
    shown = baseline.pair(figure, context.get("was") or {}, lambda item: str(shown_of(item, profile)))
    return figure_html(_shallow(figure) if shallow else figure, profile, was=shown.was)


@register.simple_tag
def printed(figure: Figure | None) -> SafeString:
    """Print a figure on paper, with the digits that its spread allows."""
    return SafeString("—") if figure is None else quantity_html(shown_of(figure, current_profile()))


@register.simple_tag
def toned(tone: str) -> SafeString:
    """Print the tone of a reason as a state."""
    return state(*WORDS[tone])


@register.simple_tag
def judged(verdict: Verdict) -> SafeString:
    """Print whether a rubber cures as a state."""
    return state(*OF_OUTCOME[verdict.outcome])


@register.simple_tag
def source_of(reason: Reason) -> str:
    """Say where a reason comes from."""
    return source_words(reason.source)


@register.simple_tag(takes_context=True, name="linked")
def linked_words(context: Context, problem: Any) -> SafeString:
    """Print what a job lacks, with links to the pages that it names; the page at hand is not linked."""
    return linked(str(problem), context["job"].number, here=context["request"].path)


def _shallow(figure: Figure) -> Figure:
    """Cut a working after its first level: a table of many cups repeats what the coat's own line unfolds in full."""
    given = tuple(
        Given(label=item.label, value=item.value, unit=item.unit, source=item.source, low=item.low, high=item.high)
        for item in figure.given
    )
    return replace(figure, given=given)


@register.simple_tag
def fact_said(fact: TaskFact) -> str:
    """Print what was said of one task."""
    return f"“{fact.label or fact.task_key}” {'; it '.join(fact_sentences(fact))}."


@register.simple_tag
def cause_said(cause: Mapping[str, str]) -> str:
    """Print one of the rules that contradict each other."""
    return said_cause(cause)


@register.simple_tag
def clock(moment: datetime.datetime) -> str:
    """Print the time of day."""
    return clock_text(timezone.localtime(moment).time(), locale_code(current_profile()))


@register.simple_tag
def dated(moment: datetime.datetime | None, on: datetime.date | None = None) -> str:
    """Print a moment with its day, however near it is; on the day that the sheet is about, the time of day alone."""
    if moment is None:
        return NO_VALUE
    local, locale = timezone.localtime(moment), locale_code(current_profile())
    clock_time = clock_text(local.time(), locale)
    return clock_time if local.date() == on else f"{day_text(local.date(), timezone.localdate(), locale)} {clock_time}"


def _address(name: str, number: int) -> str:
    try:
        return reverse(name, kwargs={"number": number})
    except NoReverseMatch:
        return ""
