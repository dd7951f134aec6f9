import pytest

from jobs.geometry.errors import GeometryError
from jobs.inputs import readings_of, takeoff_of
from jobs.models import TakeoffRecord
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from jobs.services.pieces import keep_readings, use_takeoff
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db

DRUM = TapeReadings(girths=(GirthTyped(girth_mm=400, along_mm=250), GirthTyped(girth_mm=400)), flange_width_mm=40)
KNOBBED = TapeReadings(
    girths=DRUM.girths,
    solids=(SolidTyped(shape="cylinder", length_mm=30, height_mm=40, label="knob", count=2),),
    texture_height_mm=2,
    texture_spacing_mm=8,
)


class TestKeepReadings:
    def test_measures_the_drum_exactly(self) -> None:
        # exact: a cylinder with girth C and height h has side C h and top C²/4π.
        from math import pi

        piece = JobFactory().piece
        keep_readings(piece=piece, readings=DRUM)
        takeoff = takeoff_of(piece)
        assert takeoff is not None
        assert takeoff.area.value == pytest.approx((400 * 250 + 400**2 / (4 * pi)) / 1e6)
        assert takeoff.volume.value == pytest.approx(400**2 / (4 * pi) * 250 / 1e9)

    def test_keeps_every_reading(self) -> None:
        piece = JobFactory().piece
        keep_readings(piece=piece, readings=KNOBBED)
        piece.refresh_from_db()
        assert readings_of(piece) == KNOBBED

    def test_refuses_what_is_no_piece_and_keeps_what_was_there(self) -> None:
        piece = JobFactory().piece
        keep_readings(piece=piece, readings=DRUM)
        with pytest.raises(GeometryError):
            keep_readings(piece=piece, readings=TapeReadings(girths=(GirthTyped(girth_mm=400),)))
        assert readings_of(piece) == DRUM
        assert TakeoffRecord.objects.filter(piece=piece).count() == 1


class TestUseTakeoff:
    def test_puts_an_earlier_measurement_back_with_its_readings(self) -> None:
        piece = JobFactory().piece
        first = keep_readings(piece=piece, readings=DRUM)
        keep_readings(piece=piece, readings=KNOBBED)
        use_takeoff(record=first)
        piece.refresh_from_db()
        takeoff = takeoff_of(piece)
        assert takeoff is not None
        assert takeoff.area.value == pytest.approx(first.area_m2)
        assert readings_of(piece) == DRUM
        assert TakeoffRecord.objects.filter(piece=piece).count() == 2
