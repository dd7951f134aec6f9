import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.models import StudioProfile
from studio.web.drawing import Bar, Hatch, Stretch, bars, cure_strip, section_drawing

METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR")
US = StudioProfile(units="us", locale="en_US", currency="USD")
SVG = "{http://www.w3.org/2000/svg}"
CYLINDER = [(50.0, 0.0), (50.0, 200.0), (0.0, 200.0)]
COATS = [("Print coat", 1.0), ("Build coat", 2.0), ("Closing coat", 1.0)]


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def section(**changes: object) -> ET.Element:
    return parsed(section_drawing(**{"points": CYLINDER, "coats": COATS, "title": "Finial", "profile": METRIC, **changes}))  # type: ignore[arg-type]


class TestSectionDrawing:
    def test_names_itself_and_says_what_it_shows(self) -> None:
        root = section()
        title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert description is not None
        assert title.text == "Finial"
        assert "200\u00a0mm high and 100\u00a0mm wide" in (description.text or "")
        assert "Build coat 2\u00a0mm" in (description.text or "")
        assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"

    def test_draws_coats_to_one_scale(self) -> None:
        bands = [path for path in section().iter(f"{SVG}path") if path.get("class") in {"tint-a-band", "tint-b-band"}]
        widths = [float(band.get("stroke-width") or 0) for band in bands]
        # the outermost first: 4 mm, 3 mm and 1 mm of wall, each drawn to both sides of the line
        assert widths[0] / widths[2] == pytest.approx(4, rel=0.02)
        assert widths[1] / widths[2] == pytest.approx(3, rel=0.02)

    def test_alternates_two_tints(self) -> None:
        classes = [path.get("class") for path in section().iter(f"{SVG}path")]
        assert [name for name in classes if name and name.endswith("-band")] == ["tint-a-band", "tint-b-band", "tint-a-band"]

    def test_enlarges_the_wall_in_proportion(self) -> None:
        paths = [
            path for path in section().iter(f"{SVG}path") if path.get("class") in {"pale-stroke tint-a", "pale-stroke tint-b"}
        ]
        wide = [_width(path.get("d") or "") for path in paths]
        assert wide[1] == pytest.approx(2 * wide[0], rel=0.01)
        assert wide[2] == pytest.approx(wide[0], rel=0.01)

    def test_measures_in_the_studios_unit(self) -> None:
        assert "200\u00a0mm" in texts(section())
        assert "7.87\u00a0in" in texts(section(profile=US))

    def test_draws_a_bare_piece(self) -> None:
        assert "Wall, enlarged" not in texts(section(coats=[]))

    def test_writes_thicknesses_that_would_run_together_once(self) -> None:
        few = texts(section(coats=[("print coat", 0.8), *[("build coat", 2.36)] * 3]))
        many = texts(section(coats=[("print coat", 0.8), *[("build coat", 2.36)] * 8]))
        assert (few.count("2.36\u00a0mm"), few.count("each 2.36\u00a0mm")) == (3, 0)
        assert (many.count("2.36\u00a0mm"), many.count("each 2.36\u00a0mm")) == (0, 1)

    def test_draws_a_closed_outline_without_an_axis(self) -> None:
        lines = section(points=[(0.0, 0.0), (80.0, 0.0), (40.0, 60.0)], closed=True).iter(f"{SVG}line")
        assert not [line for line in lines if line.get("stroke-dasharray")]

    def test_carries_no_style_and_no_script(self) -> None:
        svg = section_drawing(points=CYLINDER, coats=COATS, title="<script>", profile=METRIC)
        assert "style=" not in svg
        assert "<script" not in svg

    def test_keeps_ids_apart_on_one_page(self) -> None:
        both = section_drawing(points=CYLINDER, title="a", profile=METRIC) + section_drawing(
            points=CYLINDER, title="b", profile=METRIC
        )
        ids = re.findall(r'\bid="([^"]+)"', both)
        assert len(ids) == len(set(ids)) > 4
        assert set(re.findall(r"url\(#([^)]+)\)", both)) <= set(ids)

    @given(
        st.lists(st.tuples(st.floats(0, 3000), st.floats(0, 5000)), min_size=1, max_size=12),
        st.lists(st.floats(0.01, 50), max_size=8),
    )
    def test_stays_on_its_sheet_and_never_breaks(self, points: list[tuple[float, float]], walls: list[float]) -> None:
        root = section(points=points, coats=[("Coat", wall) for wall in walls])
        assert "nan" not in ET.tostring(root, encoding="unicode")
        width = float(root.get("width") or 0)
        for text in root.iter(f"{SVG}text"):
            assert 0 <= float(text.get("x") or 0) <= width


def _width(path: str) -> float:
    across = [float(pair.split()[0]) for pair in path.strip("MZ").split("L")]
    return max(across) - min(across)


class TestCureStrip:
    ROWS = (
        Stretch(label="Print coat", start_min=0, hands_min=30, wait_min=90, latest_min=240),
        Stretch(label="Build coat", start_min=120, hands_min=60, wait_min=600),
    )

    def test_draws_work_solid_and_curing_hatched_to_one_scale(self) -> None:
        root = parsed(cure_strip(self.ROWS, title="Coats", profile=METRIC))
        solid = [_width(path.get("d") or "") for path in root.iter(f"{SVG}path") if path.get("class") == "ink-fill"]
        cured = [_width(path.get("d") or "") for path in root.iter(f"{SVG}path") if "cure" in (path.get("fill") or "")]
        assert solid[1] == pytest.approx(2 * solid[0], rel=0.02)
        assert cured[0] == pytest.approx(3 * solid[0], rel=0.02)
        assert cured[1] == pytest.approx(10 * solid[1], rel=0.02)

    def test_says_the_same_in_words(self) -> None:
        description = parsed(cure_strip(self.ROWS, title="Coats", profile=METRIC)).find(f"{SVG}desc")
        assert description is not None
        assert "Build coat: from 2\u00a0h, 60\u00a0min of work, then 10\u00a0h of curing" in (description.text or "")

    def test_stands_empty(self) -> None:
        assert "Nothing is planned yet." in cure_strip([], title="Coats", profile=METRIC)


class TestBars:
    def test_are_as_long_as_their_values_and_show_their_range(self) -> None:
        root = parsed(
            bars(
                [Bar(label="Rubber", value=200, low=100, high=400), Bar(label="Resin", value=100)],
                unit="money",
                title="Spend",
                profile=METRIC,
            )
        )
        long = [_width(path.get("d") or "") for path in root.iter(f"{SVG}path")]
        assert long[0] == pytest.approx(2 * long[1], rel=0.01)
        assert "€200" in texts(root)
        assert "€100.00" in texts(root)

    def test_hatch_each_material_in_its_own_way(self) -> None:
        root = parsed(bars([Bar(label=kind.label, value=1, hatch=kind) for kind in Hatch], unit="g", title="All", profile=METRIC))
        tiles = ["".join(ET.tostring(child, encoding="unicode") for child in tile) for tile in root.iter(f"{SVG}pattern")]
        assert len(set(tiles)) == len(Hatch)
