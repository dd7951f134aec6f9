"""What stands in a job's title block: facts and the four figures that matter."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from django.utils.html import format_html

from jobs.calendar import calendar_of, days_figure, studio_hours
from jobs.models import Job
from jobs.moves import TONES
from jobs.planning.results import MoldPlan
from jobs.services.plans import is_whole
from studio.figures import Figure, WorkingError
from studio.models import Account
from studio.web.context import current_profile
from studio.web.formats import NO_VALUE, day_text

PriceFigure = Callable[[Job, Account, MoldPlan], Figure | None]
_price_figures: list[PriceFigure] = []


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """The block as the page prints it."""

    title: str
    number: int
    facts: tuple[tuple[str, str], ...]
    figures: tuple[Figure | tuple[str, Any], ...]
    state: str
    tone: str


def register_price_figure(provider: PriceFigure) -> None:
    """Let a higher floor say what a job costs; it answers None where the price is not known or not to be seen."""
    if provider not in _price_figures:
        _price_figures.append(provider)


def title_block(job: Job, account: Account, plan: MoldPlan | None) -> TitleBlock:
    """Put a job's title block together; what a plan does not tell yet stays open."""
    whole = plan if plan and is_whole(plan) else None
    return TitleBlock(
        title=job.title,
        number=job.number,
        facts=(
            ("Piece", job.piece.name),
            ("Client", job.client.name),
            ("Promised", _promised(job)),
        ),
        figures=(
            _named("Rubber", plan.rubber_fresh if plan else None),
            _named("Hours", whole.hours_hands_on if whole else None),
            _named("Days", _days(job, whole)),
            _priced(_price(job, account, whole) if whole else None),
        ),
        state=job.get_state_display(),
        tone=TONES[job.state],
    )


def _named(label: str, figure: Figure | None) -> Figure | tuple[str, Any]:
    if figure is None:
        return label, format_html('<span class="number">{}</span>', NO_VALUE)
    return replace(figure, key=f"title_{figure.key}", label=label)


def _priced(figure: Figure | None) -> Figure | tuple[str, Any]:
    """Show a price under the label that it brings: one that is not whole says so."""
    return _named("Price" if figure is None else figure.label, figure)


def _days(job: Job, plan: MoldPlan | None) -> Figure | None:
    if plan is None:
        return None
    try:
        return days_figure(calendar_of(job, plan, studio_hours()))
    except WorkingError:
        # Nobody works in the weeks ahead: the days page says so.
        return None


def _price(job: Job, account: Account, plan: MoldPlan) -> Figure | None:
    for provider in _price_figures:
        figure = provider(job, account, plan)
        if figure is not None:
            return figure
    return None


def _promised(job: Job) -> str:
    from django.utils import timezone

    if job.promised_on is None:
        return "no day named"
    return day_text(job.promised_on, timezone.localdate(), current_profile().locale)
