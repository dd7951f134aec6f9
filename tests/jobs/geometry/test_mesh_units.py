"""Units of meshes, and the table of limits."""

import re

import pytest

from jobs.geometry import mesh_limits
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_units import MM_PER_UNIT, guess_unit, scale_of


class TestGuessUnit:
    @pytest.mark.parametrize(
        ("largest", "unit", "words"),
        [(320.0, "mm", "320 mm"), (25.0, "mm", "25 mm"), (0.32, "m", "320 mm"), (1.2, "m", "1.2 m"), (12.0, "cm", "120 mm")],
    )
    def test_takes_the_size_of_a_likely_piece(self, largest: float, unit: str, words: str) -> None:
        guess = guess_unit((largest / 3, largest, largest / 2))
        assert guess.unit == unit
        assert guess.why.endswith(words)

    def test_offers_every_unit_with_its_size(self) -> None:
        assert guess_unit((1, 2, 3)).largest_mm == {"mm": 3, "cm": 30, "m": 3000, "in": pytest.approx(76.2)}

    def test_takes_the_unit_that_a_file_states(self) -> None:
        assert guess_unit((4.0, 2.0, 1.0)).unit == "cm"
        guess = guess_unit((4.0, 2.0, 1.0), "m")
        assert guess.unit == "m"
        assert "its unit" in guess.why
        assert guess.why.endswith("4 m")

    def test_doubts_a_stated_unit_in_which_no_piece_can_be(self) -> None:
        assert guess_unit((320.0, 2.0, 1.0), "m").unit == "mm"

    def test_refuses_no_extent(self) -> None:
        with pytest.raises(GeometryError, match="no extent"):
            guess_unit((0, 0, 0))


class TestScaleOf:
    def test_an_inch_is_25_4_mm(self) -> None:
        # NIST SP 811: exact.
        assert scale_of("in") == 25.4
        assert set(MM_PER_UNIT) == {"mm", "cm", "m", "in"}

    def test_refuses_another_unit(self) -> None:
        with pytest.raises(GeometryError, match="mm, cm, m, in"):
            scale_of("ft")


class TestTableOfLimits:
    def test_says_what_the_constants_say(self) -> None:
        table = dict(re.findall(r"\| ([^|]+?) \| ([^|]+?) \|", mesh_limits.__doc__ or ""))
        big_mb = mesh_limits.BIG_FILE_BYTES // 1_000_000
        assert table["file"] == f"{mesh_limits.MAX_FILE_BYTES // 1_000_000} MB"
        assert table["triangles (polygons are split first)"] == f"{mesh_limits.MAX_FACES:,}".replace(",", " ")
        assert table["corners listed in the file"] == f"{mesh_limits.MAX_VERTICES:,}".replace(",", " ")
        assert table["one line of a text file"] == f"{mesh_limits.MAX_LINE_BYTES:,}".replace(",", " ") + " bytes"
        assert table["levels of parts within parts"] == str(mesh_limits.MAX_LEVELS)
        assert table["files in a 3MF archive"] == f"{mesh_limits.MAX_ZIP_ENTRIES:,}".replace(",", " ")
        unpacked = f"{mesh_limits.MAX_UNPACKED_BYTES // 1_000_000} MB, {mesh_limits.MAX_UNPACKED_RATIO} times its size"
        assert table["a 3MF archive unpacked"] == unpacked
        assert table["largest extent of the piece"] == f"{mesh_limits.MAX_EXTENT_MM / 1000:g} m"
        assert table["smallest largest extent"] == f"{mesh_limits.MIN_EXTENT_MM:g} mm"
        assert table["memory of the reading process"] == f"{mesh_limits.MEMORY_BYTES / 2**30:g} GiB"
        cpu = f"{mesh_limits.CPU_S} s, {mesh_limits.CPU_BIG_S} s above {big_mb} MB"
        assert table["processor time of the reading process"] == cpu
        assert table["time by the clock"] == f"{mesh_limits.WALL_S:g} s, {mesh_limits.WALL_BIG_S:g} s above {big_mb} MB"
