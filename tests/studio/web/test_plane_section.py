"""Sections drawn from loops: scale, key, holes, and words for those who cannot see them."""

import re
from xml.etree import ElementTree

import pytest

from studio.models import StudioProfile
from studio.web.drawing import Hatch, SectionSheet, plane_section, plane_section_to_scale, scale_words, section_key, sheet_scale
from studio.web.unit_table import METRIC, US

NS = "{http://www.w3.org/2000/svg}"
PROFILE = StudioProfile(units=METRIC, locale="en_GB")


def square(half: float, *, hole: bool = False) -> list[tuple[float, float]]:
    corners = [(-half, 10 - half + 40), (half, 10 - half + 40), (half, 10 + half + 40), (-half, 10 + half + 40)]
    return corners[::-1] if hole else corners


def sheet(**changes: object) -> SectionSheet:
    values = {
        "piece": [square(40), square(10, hole=True)],
        "coats": [("Print coat", 1.0, [square(41)]), ("Build coat", 4.0, [square(45)])],
        "filled": [square(55)], "shell": [square(60)], "chunks": [square(3)], "board_v": 0.0, "box": (-60.0, 60.0, 0.0, 110.0),
    }  # fmt: skip
    return SectionSheet(**{**values, **changes})


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def words(svg: str) -> list[str]:
    return ["".join(text.itertext()).replace("\u00a0", " ") for text in parsed(svg).iter(f"{NS}text")]


def paths(svg: str) -> list[str]:
    return [path.attrib["d"] for path in parsed(svg).iter(f"{NS}path")]


class TestPlaneSection:
    def test_says_what_is_what(self) -> None:
        said = words(plane_section(sheet(), title="Front", profile=PROFILE))
        for label in ("piece", "coats, tints in turn", "fill", "scrap in the fill", "shell, glass laminate", "board", "80 mm"):
            assert label in said

    def test_only_what_is_cut_stands_in_the_key(self) -> None:
        bare = sheet(filled=(), shell=(), chunks=(), board_v=None)
        said = words(plane_section(bare, title="Front", profile=PROFILE))
        assert not {"fill", "scrap in the fill", "board"} & set(said)
        assert not any(word.startswith("shell") for word in said)

    def test_holes_stay_holes(self) -> None:
        piece = [path for path in paths(plane_section(sheet(), title="Front", profile=PROFILE)) if path.count("Z") == 2]
        assert len(piece) == 2  # its ground and its hatching
        outer, hole = (_area(loop) for loop in piece[0].split("Z")[:2])
        assert outer * hole < 0

    def test_coats_take_their_tints_in_turn_and_are_drawn_from_outside_in(self) -> None:
        svg = parsed(plane_section(sheet(), title="Front", profile=PROFILE))
        tints = [path.attrib["class"].split()[-1] for path in svg.iter(f"{NS}path") if "tint" in path.attrib["class"]]
        assert tints[:2] == ["tint-b", "tint-a"]

    def test_those_who_cannot_see_it_hear_the_same(self) -> None:
        described = parsed(plane_section(sheet(), title="Front <1>", profile=PROFILE)).find(f"{NS}desc").text
        assert "80" in described
        assert "Print coat" in described
        assert "1 chunk of scrap" in described

    def test_beside_the_piece_the_coats_are_measured(self) -> None:
        svg = plane_section(sheet(piece=(), box=(-45.0, 45.0, 5.0, 95.0)), title="Beside", profile=PROFILE)
        assert "beside the piece" in parsed(svg).find(f"{NS}desc").text
        assert "90 mm" in words(svg)

    @pytest.mark.parametrize("hatch", [Hatch.PLASTER, Hatch.LAMINATE, Hatch.RESIN])
    def test_a_shell_is_hatched_as_what_it_is_made_of(self, hatch: Hatch) -> None:
        svg = plane_section(sheet(shell_hatch=hatch), title="Front", profile=PROFILE)
        assert f"shell, {hatch.label}" in words(svg)
        assert any(path.attrib["fill"].endswith(f"-{hatch.value})") for path in parsed(svg).iter(f"{NS}path"))

    def test_every_mark_carries_a_grey_for_copies(self) -> None:
        for mark in parsed(plane_section(sheet(), title="Front", profile=PROFILE)).iter(f"{NS}path"):
            assert mark.attrib["fill"] == "none" or mark.attrib["fill"].startswith(("#", "url(")) or "stroke" in mark.attrib


class TestToScale:
    @pytest.mark.parametrize("ratio", [1.0, 2.0, 5.0])
    def test_a_length_on_paper_is_the_true_one_over_the_ratio(self, ratio: float) -> None:
        svg = plane_section_to_scale(sheet(), title="Front", ratio=ratio, profile=PROFILE)
        root = parsed(svg)
        assert float(root.attrib["width"]) == float(root.attrib["viewBox"].split()[2])
        assert "true-size" in root.attrib["class"]
        # CSS: 96 px are one inch of paper, 25.4 mm (published: CSS Values). The piece is 80 mm wide.
        piece = next(path for path in paths(svg) if path.count("Z") == 2)
        across = [float(x) for x, _ in re.findall(r"([\d.]+) ([\d.]+)", piece)]
        assert (max(across) - min(across)) * 25.4 / 96 == pytest.approx(80 / ratio, abs=0.02)

    def test_the_scale_is_the_largest_in_use_that_fits(self) -> None:
        # By hand: width over the scale and (72 + 14) × 25.4/96 mm of dimension lines within the room.
        assert sheet_scale([(-30, 30, 0, 80)], room_mm=(174, 160)) == 1
        assert sheet_scale([(-60, 60, 0, 110)], room_mm=(84, 165)) == 2
        assert sheet_scale([(-600, 600, 0, 1100)], room_mm=(84, 165)) == 20
        assert sheet_scale([(-60, 60, 0, 110), (-600, 600, 0, 1100)], room_mm=(84, 165)) == 20
        assert sheet_scale([(-60_000, 60_000, 0, 100)], room_mm=(84, 165)) is None
        assert scale_words(5.0) == "1:5"

    def test_the_sheet_fits_the_room_it_was_chosen_for(self) -> None:
        for wide, high in ((37, 210), (120, 110), (480, 90), (55, 900)):
            box = (-wide / 2, wide / 2, 0.0, float(high))
            ratio = sheet_scale([box], room_mm=(84, 165))
            assert ratio is not None
            root = parsed(plane_section_to_scale(sheet(box=box), title="Front", ratio=ratio, profile=PROFILE))
            assert float(root.attrib["width"]) * 25.4 / 96 <= 84
            assert float(root.attrib["height"]) * 25.4 / 96 <= 165

    def test_the_key_stands_alone(self) -> None:
        assert "scrap in the fill" in words(section_key(sheet()))

    def test_a_us_studio_reads_inches(self) -> None:
        said = words(plane_section_to_scale(sheet(), title="Front", ratio=2, profile=StudioProfile(units=US, locale="en_US")))
        assert any(word.endswith(" in") for word in said)


def _area(path: str) -> float:
    points = [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", path)]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2
