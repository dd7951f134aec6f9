"""Which bins of scrap suit the fill of a plan, on the Mold page, and taking one into the plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.errors import PlanChangedMeanwhile
from jobs.inputs import latest_record, scrap_spec
from jobs.models import Plan
from jobs.planning.results import MoldPlan
from jobs.planning.rubber.bins import BinFit, fit_of_bin
from jobs.services.plans import keep_plan
from jobs.studies.following import shape_for
from jobs.studies.wishes import USUAL_CHUNK_MM
from jobs.views.loading import load
from materials.models import ScrapBin
from materials.science.compatibility import Outcome
from materials.science.material import MaterialSpec
from materials.science.scrap_value import ScrapWorth
from materials.services.scrap import verdict_on
from materials.services.scrap_worth import age_flags, terms_of, worth_of
from studio.access import Right, account_of, needs
from studio.figures import Given
from studio.models import StudioProfile

SHOWN = 6
WHOLE = Decimal(100)
SIZE_WORDS = {"good": ("finds room", "done"), "look": ("not sure", "look"), "stop": ("no room", "stop")}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapOffer:
    """A bin that could go into the fill, with what it saves."""

    bin: ScrapBin
    fit: BinFit
    worth: ScrapWorth | None
    flags: tuple[tuple[str, str], ...]
    chosen: bool

    @property
    def size(self) -> tuple[str, str]:
        """The state of its size."""
        return SIZE_WORDS[self.fit.size]

    @property
    def bond(self) -> tuple[str, str]:
        """The state of its bond."""
        return ("bonds when clean", "done") if self.fit.verdict.outcome is Outcome.GOOD else ("test first", "look")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapOffers:
    """Bins for a fill, the best first; `refused` counts those that never bond to the rubber."""

    offers: tuple[ScrapOffer, ...]
    more: int
    refused: int
    share: Given


def scrap_offers(
    plan: Plan, made: MoldPlan | None, *, rubber: MaterialSpec | None, rates: Mapping[str, Given], profile: StudioProfile
) -> ScrapOffers | None:
    """Rank the bins with something free for a plan's fill; None where nothing is filled."""
    if made is None or made.fill is None or rubber is None:
        return None
    bins = [one for one in ScrapBin.objects.filled() if one.free_g > 0]
    share = Given(label="Share of the fill with scrap", value=float(plan.scrap_share_percent or WHOLE), unit="%")
    if not bins:
        return ScrapOffers(offers=(), more=0, refused=0, share=share)
    studied_edge = float(plan.scrap_bin.chunk_edge_mm) if plan.scrap_bin else USUAL_CHUNK_MM
    shape = shape_for(plan, latest_record(plan.job.piece), rates)
    packing = Given(label="Packing of the chunks", value=float(plan.packing_fraction), unit="1")
    terms = terms_of(profile, rates=rates)
    found, refused = [], 0
    for one in bins:
        spec = scrap_spec(one)
        assert spec is not None
        fit = fit_of_bin(
            spec, rubber=rubber, fill=made.fill.volume, share=share, packing=packing,
            room_l=shape.room_l if shape else None, studied_edge_mm=studied_edge, prefix=f"offer_{one.pk}",
        )  # fmt: skip
        if not fit.verdict.allowed:
            refused += 1
            continue
        worth = worth_of(fit.taken, rubber, terms.work_left(one), terms, prefix=f"offer_{one.pk}")
        flags = age_flags(one, terms.today)
        if not one.washed:
            flags = (*flags, ("look", "It is not washed: nothing bonds to release and dust."))
        found.append(ScrapOffer(bin=one, fit=fit, worth=worth, flags=flags, chosen=one.pk == plan.scrap_bin_id))
    found.sort(key=_order)
    return ScrapOffers(offers=tuple(found[:SHOWN]), more=max(len(found) - SHOWN, 0), refused=refused, share=share)


def _order(offer: ScrapOffer) -> tuple[int, int, float, float, str]:
    """Order bins: what bonds, what finds room, what saves most, what fills most."""
    bond, size, taken = offer.fit.place
    return bond, size, -offer.worth.value.value if offer.worth else 0.0, taken, offer.bin.label.lower()


@require_POST
@needs(Right.CHANGE_JOBS)
def scrap_take(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Take a bin into the plan's fill; without a share yet, the whole fill is packed with it."""
    page = load(number)
    scrap_bin: ScrapBin = get_object_or_404(ScrapBin, pk=pk)
    here = redirect(reverse("jobs:mold_show", args=[number]) + "#part-scrap")
    rubber = page.plan.rubber
    if rubber is None:
        messages.error(request, "No rubber is chosen yet. Choose it first: it decides which scrap bonds.")
        return here
    verdict = verdict_on(scrap_bin, rubber)
    if not verdict.allowed:
        messages.error(request, f"{verdict.reason} {verdict.advice}")
        return here
    values: dict[str, Any] = {"scrap_bin": scrap_bin}
    if not page.plan.scrap_share_percent:
        values["scrap_share_percent"] = WHOLE
    typed = request.POST.get("revision", "")
    revision = int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 10 else -1
    try:
        keep_plan(
            plan=page.plan, values=values, revision=revision, by=account_of(request), advice="Look at the plan, then take it."
        )
    except PlanChangedMeanwhile as conflict:
        messages.error(request, str(conflict))
        return here
    messages.success(request, f"“{scrap_bin.label}” goes into the fill. The page offers to undo it.")
    return here
