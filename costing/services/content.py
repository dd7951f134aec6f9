"""Everything that a quote's print shows, as plain values that never change afterwards."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from costing.engine.estimate import Estimate
from costing.frozen import keep_figures
from costing.inputs import PlannedJob, money_places
from costing.services.offer import Offer, chemistry_words, shell_words
from costing.services.options import PricedOption
from costing.services.pictures import freeze_pictures
from costing.services.plan_numbers import PlanNumbers, numbers_of, to_plain
from costing.services.said import as_lines, cautions_in_hand
from costing.services.spread import spread_values
from costing.services.workings import keep_workings
from costing.wording import PIECE_AT_RISK, lead_time, mold_life
from jobs.geometry.takeoff import Takeoff
from jobs.inputs import takeoff_of
from jobs.services.plans import decisions_of
from materials.science.compatibility import Surface
from studio.figures import Given
from studio.models import StudioProfile
from studio.web.quantities import show

FORM = 1
Fact = list[str]


def content_of(found: PlannedJob, estimate: Estimate, offer: Offer, profile: StudioProfile) -> dict[str, Any]:
    """Gather what the print shows to the client; nothing of cost, hours or margin goes in."""
    client, job = found.job.client, found.job
    return {
        "form": FORM,
        "studio": {
            name: str(getattr(profile, name)) for name in ("name", "address", "email", "phone", "website", "registration")
        },
        "client": {"name": client.name, "contact": client.contact, "address": client.address},
        "job": {"number": job.number, "title": job.title},
        "money": {"places": money_places(profile), "locale": profile.locale, "tax_name": profile.tax_name},
        "units": profile.units,
        "paper": profile.paper,
        "piece": _piece_facts(found, profile),
        "making": _making_facts(found, estimate, profile),
        "size": as_lines(offer.size),
        "lead_time": lead_time(offer.working_days) if offer.working_days else "",
        "breaks": [
            {"quantity": item.quantity, "unit_price": str(item.each.unit_price), "net": str(item.net)} for item in estimate.breaks
        ],
        "payments": _payments(estimate),
        "exclusions": as_lines(offer.exclusions),
        "ownership": offer.ownership,
        "to_know": _to_know(found, estimate),
        "cautions": [list(words) for words in cautions_in_hand(found, castings=estimate.run is not None)],
        "pictures": freeze_pictures(found, offer.pictures),
    }


def inner_of(
    found: PlannedJob, estimate: Estimate, profile: StudioProfile, options: Sequence[PricedOption] = ()
) -> dict[str, Any]:
    """Keep what only the studio may see: what the price was made from when it was frozen."""
    figures = (
        *estimate.makeup.parts,
        estimate.makeup.cost,
        estimate.totals.net,
        estimate.totals.gross,
        estimate.likely,
        estimate.hours,
        estimate.full_rate,
        estimate.margin,
        estimate.markup,
        estimate.mold.cost,
        *((estimate.run.each.cost,) if estimate.run else ()),
    )
    return {
        "form": FORM,
        "figures": keep_figures(figures),
        "class": estimate.estimate_class.number,
        "left_out": list(estimate.spend.left_out),
        "decisions": decisions_of(found.plan),
        "spread": spread_values(found, profile, castings=estimate.count),
        "plan": to_plain(_plan_numbers(found, estimate)),
        "workings": keep_workings(found, estimate, options),
    }


def _plan_numbers(found: PlannedJob, estimate: Estimate) -> PlanNumbers:
    labour, overhead = estimate.full_rate.given
    assert isinstance(labour, Given)
    # What the extra costs, before the margin that its price carries.
    label, extra = (estimate.extra.label, estimate.extra.given[0].value) if estimate.extra is not None else ("", 0.0)
    return numbers_of(found, labour=labour, overhead=overhead, extra_label=label, extra=extra)


def line_text(kind: str, found: PlannedJob, fallback: str, profile: StudioProfile) -> str:
    """Say on a printed line what is paid for."""
    plan, piece = found.plan, found.plan.job.piece
    if kind == "mold" and plan.rubber is not None:
        shell = "" if found.mold.shell is None else f", with {shell_words(plan)}"
        return f"Mold of {piece.name}: {chemistry_words(plan.rubber)} rubber{shell}"[:300]
    if kind == "spare" and plan.rubber is not None:
        return f"Further mold of {piece.name} for the run, made like the first"[:300]
    if kind == "casting" and plan.resin is not None:
        wall = show(plan.casting_wall_mm, "mm", profile)
        return f"Hollow casting in {chemistry_words(plan.resin)} resin, wall about {wall}, trimmed and finished"[:300]
    return fallback[:300]


def _piece_facts(found: PlannedJob, profile: StudioProfile) -> list[Fact]:
    piece = found.plan.job.piece
    facts = [["Piece", piece.name[:1].upper() + piece.name[1:]]]
    takeoff = takeoff_of(piece)
    if takeoff is not None and all(takeoff.box_mm):
        facts.append(["Size", _box(takeoff, profile)])
        facts.append(["Measured", piece.get_measured_by_display().capitalize()])
    if piece.surface != Surface.UNKNOWN:
        facts.append(["Surface", piece.get_surface_display().capitalize()])
    return facts


def _box(takeoff: Takeoff, profile: StudioProfile) -> str:
    shown = [show(side, "mm", profile, keep=True) for side in takeoff.box_mm]
    return f"{' × '.join(item.number for item in shown)}\u00a0{shown[0].unit}"


def _making_facts(found: PlannedJob, estimate: Estimate, profile: StudioProfile) -> list[Fact]:
    plan, facts = found.plan, []
    if plan.rubber is not None:
        facts.append(
            ["Mold", f"{chemistry_words(plan.rubber).capitalize()} rubber, wall about {show(plan.wall_mm, 'mm', profile)}"]
        )
    if found.mold.shell is not None:
        facts.append(["Backing", shell_words(plan).capitalize()])
    if estimate.run is not None and plan.resin is not None:
        facts.append(["Castings", f"{estimate.run.quantity}, hollow, {chemistry_words(plan.resin)} resin"])
    return facts


def _payments(estimate: Estimate) -> list[dict[str, str]]:
    return [
        {"moment": stage.moment.value, "label": stage.label, "amount": str(stage.amount)}
        for stage in estimate.totals.stages
        if stage.amount > Decimal(0)
    ]


def _to_know(found: PlannedJob, estimate: Estimate) -> list[str]:
    said = [PIECE_AT_RISK]
    life = found.mold.life
    if life is not None and estimate.breaks:
        said.append(mold_life(life.expected.value))
    return said
