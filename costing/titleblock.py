"""What a job's title block says of its price."""

from dataclasses import replace

from costing.engine.estimate import make_estimate
from costing.inputs import brief_of, planned_from, terms_of, terms_values
from costing.services.spread import with_contingency
from jobs.models import Job
from jobs.planning.results import MoldPlan
from jobs.services.plans import plan_of
from studio.access import Right
from studio.figures import Figure, WorkingError
from studio.models import Account
from studio.web.context import current_profile


def price_figure(job: Job, account: Account, made: MoldPlan) -> Figure | None:
    """Return the total with tax and its range; None without the right to see money, or without a plan to price.

    Its label says when a material without a price is missing from it, its note which.
    """
    if not account.may(Right.SEE_MONEY):
        return None
    profile = current_profile()
    try:
        found = planned_from(plan_of(job), made)
        terms = terms_values(terms_of(job), profile)
        estimate = make_estimate(with_contingency(brief_of(found, terms, profile), found))
    except WorkingError:
        return None
    without = estimate.spend.left_out
    if not without:
        return replace(estimate.likely, label="Price")
    names = ", ".join(without)
    note = f"Too low: {names} {'has' if len(without) == 1 else 'have'} no price. {estimate.likely.note}".strip()
    return replace(estimate.likely, label="Price, not whole", note=note)
