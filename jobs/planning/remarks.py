"""What the plan wants the mold maker to look at, and what can spoil the mold."""

from collections.abc import Iterator

from jobs.planning.brief import PlanBrief, ScrapSpec
from jobs.planning.rates import rate
from jobs.planning.results import Coat, CoatRole, FillPlan, Task
from jobs.planning.sums import fact
from jobs.planning.work.work import plain_key
from materials.properties import Chemistry
from materials.science.compatibility import Outcome, Verdict
from materials.science.dosing import PIGMENT_DOSE
from materials.science.packing import chunk_too_large, packing_between_walls
from materials.science.sag import held_by
from studio.figures import Figure, Remark, Source, SourceKind, high_end

THICK_PRINT_MM = 1.0
HAND_PLACED = 0.70
# A smaller difference in packing is not told apart by a bucketful.
TOLD_PACKING = 0.05


def plan_remarks(
    brief: PlanBrief,
    *,
    verdicts: tuple[Verdict, ...],
    coats: tuple[Coat, ...],
    fill: FillPlan | None,
    tasks: tuple[Task, ...],
    more: tuple[Remark, ...] = (),
) -> tuple[Remark, ...]:
    """List the remarks, what can spoil the mold first; those of the takeoff and `more`, said elsewhere, are among them."""
    found = [
        *_of_verdicts(verdicts),
        *_of_coats(brief, coats),
        *_of_tint(brief),
        *_of_fill(brief, fill),
        *_of_overrides(brief, tasks),
        *more,
        *(() if brief.shape is None else brief.shape.remarks),
        *brief.takeoff.remarks,
    ]
    return tuple(sorted(found, key=lambda remark: remark.tone != "stop"))


def _of_verdicts(verdicts: tuple[Verdict, ...]) -> Iterator[Remark]:
    for number, verdict in enumerate(verdicts, start=1):
        if verdict.outcome is not Outcome.GOOD:
            tone = "stop" if verdict.outcome is Outcome.SEAL else "look"
            yield Remark(key=f"verdict_{number}", text=f"{verdict.reason} {verdict.advice}", tone=tone)


def _of_coats(brief: PlanBrief, coats: tuple[Coat, ...]) -> Iterator[Remark]:
    builds = [coat for coat in coats if coat.role is CoatRole.BUILD]
    if builds:
        yield from _of_sag(brief, builds[0])
    if brief.rubber.chemistry is Chemistry.POLYURETHANE and len(coats) > 1:
        text = "Start no polyurethane coat that cannot be followed in its window: laid late, the next coat peels."
        yield Remark(key="hard_window", text=text, tone="stop")


def _of_tint(brief: PlanBrief) -> Iterator[Remark]:
    dose = None if brief.tint is None else brief.tint.get("dose_percent")
    most = high_end(PIGMENT_DOSE)
    if dose is not None and dose.value > most:
        text = f"More than {most:g} % of tint is not usual; less shows a missed spot as well. Correct its dose on its page."
        yield Remark(key="tint_much", text=text)


def _of_sag(brief: PlanBrief, coat: Coat) -> Iterator[Remark]:
    if brief.rubber.get("held_thickness_mm") is None and brief.rubber.get("yield_stress_pa") is None:
        text = f"Nothing is known of how thick {brief.rubber.name} stays on a wall; try it on a card before the coat."
        yield Remark(key="sag_unknown", text=text)
        return
    held = held_by(brief.rubber)
    if coat.thickness.value > held.value + 1e-9:
        text = "A build coat is thicker than a wall holds of this rubber: it runs down. Plan more build coats."
        yield Remark(key="sag", text=text, tone="stop", figures=(coat.thickness, held))
    elif brief.thickener is None and coat.thickness.value > THICK_PRINT_MM:
        text = "Build coats without thickener drain off upright walls; the held thickness counts for thickened rubber."
        yield Remark(key="sag_thin", text=text, figures=(coat.thickness, held))


def _of_fill(brief: PlanBrief, fill: FillPlan | None) -> Iterator[Remark]:
    if fill is None:
        return
    room = fill.scrap_room
    if room is not None and fill.scrap_mass.value == room.value < fill.scrap_wished.value - 0.5:
        text = "The fill has less room for chunks of this size than its share wants; smaller chunks find more."
        yield Remark(key="scrap_room", text=text, figures=(fill.scrap_wished, room))
    elif fill.scrap_wished.value > fill.scrap_mass.value + 0.5:
        text = "There is less scrap at hand than this share of the fill takes; fresh rubber makes up for it."
        yield Remark(key="scrap_short", text=text, figures=(fill.scrap_wished, fill.scrap_mass))
    if fill.scrap_mass.value > 0 and brief.scrap is not None:
        cover = rate(brief.rates, "face_cover_mm")
        least = f"{cover.value:g} mm ({cover.value / 25.4:.2f} in)"
        text = f"Keep at least {least} of fresh rubber between chunks and face, or their edges print through."
        yield Remark(key="face_cover", text=text)
        across_mm = 100 * fill.volume.value ** (1 / 3)
        if chunk_too_large(chunk_edge_mm=brief.scrap.chunk_edge_mm.value, layer_mm=across_mm):
            text = "The chunks are large for this fill: cut them to a third of its depth or less."
            yield Remark(key="chunk_large", text=text, figures=(fill.volume,))
        else:
            yield from _of_walls(brief, brief.scrap, fill, across_mm)
        if brief.packing_fraction is not None and brief.packing_fraction.value > HAND_PLACED:
            text = "No loose chunks were measured to pack this tightly; weigh a bucketful before counting on it."
            yield Remark(key="packing_high", text=text)


def _of_walls(brief: PlanBrief, scrap: ScrapSpec, fill: FillPlan, across_mm: float) -> Iterator[Remark]:
    """Say where the fill is so narrow that its walls keep chunks from lying close; the shape's own room has counted that."""
    packing = brief.packing_fraction
    if packing is None or fill.scrap_room is not None:
        return
    lowered = packing_between_walls(packing_fraction=packing.value, chunk_edge_mm=scrap.chunk_edge_mm.value, gap_mm=across_mm)
    if packing.value - lowered < TOLD_PACKING:
        return
    across = fact("Width of the fill, taken as one lump", across_mm, "mm")
    found = Figure(
        key="packing_in_fill", label="Packing that such a fill reaches", value=lowered, unit="1",
        formula="packing − 1.0814 ÷ (width ÷ ball of a chunk’s volume + 0.1226)²", given=(packing, across, scrap.chunk_edge_mm),
        source=Source(kind=SourceKind.PUBLISHED, text="Benyahia & O'Neill 2005, for a round tube"),
    )  # fmt: skip
    text = "The fill is narrow for chunks of this size: its walls keep them apart, and it takes less scrap than planned."
    yield Remark(key="packing_narrow", text=text, figures=(found,))


def _of_overrides(brief: PlanBrief, tasks: tuple[Task, ...]) -> Iterator[Remark]:
    known = {key for task in tasks for key in (task.key, plain_key(task.key))}
    unknown = sorted(set(brief.minutes_overrides) - known)
    if unknown:
        names = ", ".join(key.replace("_", " ") for key in unknown)
        yield Remark(key="overrides", text=f"Minutes typed for {names} no longer count: the plan has no such task now.")
