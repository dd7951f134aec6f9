"""Measuring a piece: keeping readings, taking takeoffs into use, putting earlier ones back."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.geometry.errors import GeometryError
from jobs.geometry.takeoff import Takeoff, takeoff_to_json
from jobs.geometry.tape import takeoff_from_tape
from jobs.models import GirthReading, Piece, Plan, ScanFile, SolidReading, TakeoffRecord
from jobs.readings import TapeReadings, brief_of_readings, readings_from_json, readings_to_json
from jobs.studies.asking import ask_study
from jobs.studies.queueing import release


def _stored(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(repr(value)).quantize(Decimal("0.01"))


@transaction.atomic
def change_piece(*, piece: Piece, values: Mapping[str, Any]) -> Piece:
    """Change what is known of a piece beside its measurements."""
    for field, value in values.items():
        setattr(piece, field, value)
    piece.save(update_fields=list(values))
    return piece


@transaction.atomic
def keep_readings(*, piece: Piece, readings: TapeReadings) -> TakeoffRecord:
    """Measure the piece by its tape readings and put the takeoff to use; raises GeometryError when they cannot be."""
    takeoff = takeoff_from_tape(brief_of_readings(readings))
    _write_rows(piece, readings)
    return record_takeoff(piece=piece, takeoff=takeoff, method=Piece.MeasuredBy.TAPE, readings=readings_to_json(readings))


@transaction.atomic
def record_takeoff(
    *,
    piece: Piece,
    takeoff: Takeoff,
    method: str,
    scan: ScanFile | None = None,
    readings: dict[str, Any] | None = None,
    walls_follow: bool = False,
) -> TakeoffRecord:
    """Keep a takeoff and put it to use; earlier ones stay and can be put back.

    Where `walls_follow`, its shape is studied once `fill_takeoff` has brought the walls.
    """
    piece.measured_by = method
    piece.stands_on_board = takeoff.stands_on_board
    piece.save(update_fields=["measured_by", "stands_on_board"])
    record = TakeoffRecord.objects.create(
        piece=piece,
        method=method,
        scan=scan,
        area_m2=takeoff.area.value,
        volume_m3=takeoff.volume.value,
        content=takeoff_to_json(takeoff),
        readings=readings or {},
        shape={} if scan is None else _shape(scan, takeoff),
    )
    _study(piece, record, held=walls_follow)
    return record


def fill_takeoff(*, record_id: int, takeoff: Takeoff) -> bool:
    """Write what measuring found since into the takeoff it began; which takeoff is in use stays. False where it is gone."""
    release(record_id)
    return bool(
        TakeoffRecord.objects.filter(pk=record_id).update(
            area_m2=takeoff.area.value, volume_m3=takeoff.volume.value, content=takeoff_to_json(takeoff)
        )
    )


def _shape(scan: ScanFile, takeoff: Takeoff) -> dict[str, Any]:
    """Say what the takeoff was read from: the scan's own unit may be corrected later."""
    return {
        "sha256": scan.sha256, "unit": scan.unit, "up_axis": scan.up_axis, "on_board": takeoff.stands_on_board,
    }  # fmt: skip


@transaction.atomic
def use_takeoff(*, record: TakeoffRecord) -> TakeoffRecord:
    """Put an earlier takeoff back to use, with the readings it was computed from."""
    piece = record.piece
    record.used_at = timezone.now()
    record.save(update_fields=["used_at"])
    piece.measured_by = record.method
    piece.stands_on_board = bool(record.content.get("stands_on_board", piece.stands_on_board))
    piece.save(update_fields=["measured_by", "stands_on_board"])
    if record.readings and record.method == Piece.MeasuredBy.TAPE:
        try:
            _write_rows(piece, readings_from_json(record.readings))
        except (KeyError, TypeError) as error:
            raise GeometryError("The readings of this takeoff cannot be read; measure the piece again.") from error
    _study(piece, record)
    return record


def _study(piece: Piece, record: TakeoffRecord, *, held: bool = False) -> None:
    """Have the shape that came into use studied for the piece's plan."""
    plan = Plan.objects.select_related("scrap_bin", "job").filter(job=piece.job_id).first()
    if plan is not None:
        plan.job.piece = piece
        ask_study(plan, record, held=held)


def _write_rows(piece: Piece, readings: TapeReadings) -> None:
    piece.stands_on_board = readings.stands_on_board
    piece.flange_width_mm = _stored(readings.flange_width_mm) or Decimal(0)
    piece.texture_height_mm = _stored(readings.texture_height_mm) or Decimal(0)
    piece.texture_spacing_mm = _stored(readings.texture_spacing_mm) or Decimal(0)
    piece.save(update_fields=["stands_on_board", "flange_width_mm", "texture_height_mm", "texture_spacing_mm"])
    piece.girths.all().delete()
    piece.solids.all().delete()
    GirthReading.objects.bulk_create(
        GirthReading(
            piece=piece,
            position=position,
            girth_mm=_stored(row.girth_mm) or Decimal(0),
            along_mm=_stored(row.along_mm),
            height_mm=_stored(row.height_mm),
        )
        for position, row in enumerate(readings.girths, start=1)
    )
    SolidReading.objects.bulk_create(
        SolidReading(
            piece=piece,
            position=position,
            label=row.label,
            shape=row.shape,
            sense=SolidReading.Sense.TAKEN if row.taken_away else SolidReading.Sense.ADDED,
            count=row.count,
            length_mm=_stored(row.length_mm) or Decimal(0),
            width_mm=_stored(row.width_mm),
            height_mm=_stored(row.height_mm),
            contact_area_mm2=_stored(row.contact_area_mm2),
            through=row.through,
        )
        for position, row in enumerate(readings.solids, start=1)
    )
