"""Rows of this app become values of the pure cores here, and nowhere else."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from jobs.errors import JobNotReady
from jobs.geometry.errors import GeometryError
from jobs.geometry.takeoff import Takeoff, takeoff_from_json
from jobs.models import Piece, Plan, TakeoffRecord
from jobs.planning.brief import CastingBrief, Deairing, Making, PlanBrief, ScrapSpec, ShellBrief, ShellKind
from jobs.planning.shape import ShapeBrief
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from materials.inputs import specs as material_specs
from materials.models import ScrapBin
from materials.properties import Chemistry
from materials.science.compatibility import Surface
from materials.science.material import MaterialSpec
from studio.figures import Given, Source, SourceKind

MATERIAL_FIELDS = (
    "rubber", "thickener", "tint", "release", "sealer", "shell_matrix", "shell_reinforcement", "resin", "casting_tint",
)  # fmt: skip
# Until the shape says how often it must be turned.
USUAL_POSITIONS = 2
LOSS_KEYS = ("blanket_loss_percent", "detail_loss_percent", "pour_loss_percent")


def latest_record(piece: Piece) -> TakeoffRecord | None:
    """Return the takeoff in use."""
    return piece.takeoffs.order_by("-used_at", "-pk").first()


def takeoff_of(piece: Piece) -> Takeoff | None:
    """Return the takeoff in use as a core value, or None when the piece was not measured yet."""
    record = latest_record(piece)
    return None if record is None else takeoff_in(record)


def takeoff_in(record: TakeoffRecord) -> Takeoff:
    """Read the takeoff that a record keeps."""
    try:
        return takeoff_from_json(record.content)
    except GeometryError as error:
        raise JobNotReady(str(error), page="jobs:piece_show") from error


def readings_of(piece: Piece) -> TapeReadings:
    """Return the tape readings kept for a piece."""
    return TapeReadings(
        girths=tuple(
            GirthTyped(girth_mm=float(row.girth_mm), along_mm=_number(row.along_mm), height_mm=_number(row.height_mm))
            for row in piece.girths.all()
        ),
        solids=tuple(
            SolidTyped(
                shape=row.shape,
                label=row.label,
                taken_away=row.sense == row.Sense.TAKEN,
                count=row.count,
                length_mm=float(row.length_mm),
                width_mm=_number(row.width_mm),
                height_mm=_number(row.height_mm),
                contact_area_mm2=_number(row.contact_area_mm2),
                through=row.through,
            )
            for row in piece.solids.all()
        ),
        stands_on_board=piece.stands_on_board,
        flange_width_mm=float(piece.flange_width_mm),
        texture_height_mm=float(piece.texture_height_mm),
        texture_spacing_mm=float(piece.texture_spacing_mm),
    )


def materials_of(plan: Plan) -> list[int]:
    """Return the ids of the materials that a plan has chosen."""
    return [chosen for field in MATERIAL_FIELDS if (chosen := getattr(plan, f"{field}_id")) is not None]


def brief_of(
    plan: Plan,
    takeoff: Takeoff,
    rates: Mapping[str, Given],
    *,
    specs: Mapping[int, MaterialSpec] | None = None,
    shape: ShapeBrief | None = None,
) -> PlanBrief:
    """Put a plan's decisions, the takeoff and the studio's rates together for the planning core.

    `specs` are the materials by id where they are loaded already; otherwise they are looked up. `shape` is what was found
    on the measured shape; it stands in for what nobody typed.
    """
    if plan.rubber_id is None:
        raise JobNotReady("No rubber is chosen yet; choose one on the Mold page.", page="jobs:mold_show")
    piece, known = plan.job.piece, material_specs(materials_of(plan)) if specs is None else specs
    return PlanBrief(
        takeoff=_with_walls(takeoff, shape),
        surface=Surface(piece.surface),
        sealed=piece.sealed,
        rubber=known[plan.rubber_id],
        thickener=_spec(known, plan.thickener_id),
        tint=_spec(known, plan.tint_id),
        release=_spec(known, plan.release_id),
        sealer=_spec(known, plan.sealer_id),
        wall_mm=_given("Wall of rubber", plan.wall_mm, "mm"),
        print_coat_mm=_given("Print coat", plan.print_coat_mm, "mm"),
        closing_coat_mm=_given("Closing coat", plan.closing_coat_mm, "mm"),
        temperature_c=_given("Temperature of the day", plan.temperature_c, "degC"),
        build_coats=plan.build_coats,
        thicken_print_coat=plan.thicken_print_coat,
        rates=_rates_of(plan, rates),
        fill_volume_l=_typed("Fill", plan.fill_volume_l, "L") or (shape.fill_l if shape else None),
        scrap_share_percent=_given("Share of the fill with scrap", plan.scrap_share_percent, "%"),
        packing_fraction=_given("Packing of the chunks", plan.packing_fraction, "1"),
        scrap=scrap_spec(plan.scrap_bin),
        shell=_shell_brief(plan, known),
        casting=_casting_brief(plan, known),
        seam_length_m=_typed("Parting strip", None if plan.seam_length_mm is None else plan.seam_length_mm / 1000, "m")
        or (shape.parting_m if shape else None),
        positions=_positions(plan, shape),
        positions_typed=_typed("Positions", plan.positions, "1"),
        shape=shape,
        people_per_coat=plan.people_per_coat,
        making=Making(plan.making),
        molds=plan.molds,
        deairing=Deairing(plan.deairing) if plan.deairing else None,
        night_temperature_c=_typed("Temperature at night", plan.night_temperature_c, "degC"),
        humidity_percent=_typed("Humidity of the room", plan.humidity_percent, "%"),
        strip_width_mm=_typed("Width of the parting strip", plan.strip_width_mm, "mm"),
        strip_height_mm=_typed("Height of the parting strip", plan.strip_height_mm, "mm"),
        widest_girth_mm=_typed("Widest girth that must pass", plan.widest_girth_mm, "mm"),
        opening_girth_mm=_typed("Girth that it passes through", plan.opening_girth_mm, "mm"),
        box_margin_mm=_typed("Rubber round the piece in a box", plan.box_margin_mm, "mm"),
        key_spacing_mm=_typed("Between keys", plan.key_spacing_mm, "mm"),
        piece_mass_g=_typed("Weight of the piece", piece.mass_g, "g"),
        minutes_overrides=({own.task_key: float(own.minutes) for own in plan.own_minutes.all()} if plan.pk is not None else {}),
    )


def _with_walls(takeoff: Takeoff, shape: ShapeBrief | None) -> Takeoff:
    """Let walls measured on the body of a tape's readings stand in for the formula, as a scan's do."""
    if takeoff.walls is not None or shape is None or shape.walls is None:
        return takeoff
    return replace(takeoff, walls=shape.walls)


def _rates_of(plan: Plan, rates: Mapping[str, Given]) -> Mapping[str, Given]:
    if plan.cup_loss_percent is None:
        return rates
    typed = _given("Left in cups and brushes", plan.cup_loss_percent, "%")
    return {**rates, **dict.fromkeys(LOSS_KEYS, typed)}


def _shell_brief(plan: Plan, known: Mapping[int, MaterialSpec]) -> ShellBrief | None:
    if plan.shell_kind == Plan.ShellKind.NONE:
        return None
    if plan.shell_matrix_id is None:
        # A block has its box in place of a shell, so nothing is missing.
        if plan.making == Plan.Making.BLOCK:
            return None
        raise JobNotReady(
            "No material is chosen for the shell; choose one on the Shell page, or “no shell”.", page="jobs:shell_show"
        )
    return ShellBrief(
        kind=ShellKind(plan.shell_kind),
        material=known[plan.shell_matrix_id],
        reinforcement=_spec(known, plan.shell_reinforcement_id),
        pieces=plan.shell_pieces,
        layers=_given("Layers of the shell", plan.shell_layers, "1"),
        thickness_mm=_given("Thickness of the shell", plan.shell_thickness_mm, "mm"),
        flange_share_percent=_typed("Flanges, as a share of the shell", plan.shell_flange_percent, "%"),
        bolt_spacing_mm=_typed("Between bolts", plan.bolt_spacing_mm, "mm"),
    )


def _casting_brief(plan: Plan, known: Mapping[int, MaterialSpec]) -> CastingBrief | None:
    if plan.resin_id is None:
        return None
    return CastingBrief(
        resin=known[plan.resin_id],
        tint=_spec(known, plan.casting_tint_id),
        wall_mm=_given("Wall of a casting", plan.casting_wall_mm, "mm"),
        skins=plan.skins,
        count=plan.castings,
        turning_rpm=_typed("Turns a minute", plan.turning_rpm, "1/min"),
        turning_ratio=_typed("Turns of the inner axis to one of the outer", plan.turning_ratio, "1"),
    )


def scrap_spec(scrap_bin: ScrapBin | None) -> ScrapSpec | None:
    """Return what a scrap bin holds and has not promised, or None without a bin."""
    if scrap_bin is None:
        return None
    weighed = Source(kind=SourceKind.MEASURED, text=f"scrap bin “{scrap_bin.label}”")
    free_g = float(scrap_bin.on_hand_g - scrap_bin.reserved_g)
    return ScrapSpec(
        key=scrap_bin.pk,
        name=scrap_bin.label,
        chemistry=Chemistry(scrap_bin.chemistry),
        family=scrap_bin.family,
        density_kg_m3=Given(label="Density of the scrap", value=float(scrap_bin.density_kg_m3), unit="kg/m3", source=weighed),
        chunk_edge_mm=Given(label="Edge of the chunks", value=float(scrap_bin.chunk_edge_mm), unit="mm", source=weighed),
        available_g=Given(label="Scrap at hand and not promised", value=free_g, unit="g", source=weighed),
    )


def _spec(known: Mapping[int, MaterialSpec], material_id: int | None) -> MaterialSpec | None:
    return None if material_id is None else known[material_id]


def _given(label: str, value: Decimal | int, unit: str) -> Given:
    return Given(label=label, value=float(value), unit=unit)


def _typed(label: str, value: Decimal | int | None, unit: str) -> Given | None:
    return None if value is None else _given(label, value, unit)


def _positions(plan: Plan, shape: ShapeBrief | None) -> int:
    if plan.positions is not None:
        return plan.positions
    return USUAL_POSITIONS if shape is None or shape.positions is None else round(shape.positions.value)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
