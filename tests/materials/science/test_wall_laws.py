"""How the least wall over a gap moves with stiffness and span, whatever the numbers are."""

import pytest
from hypothesis import assume, settings
from hypothesis import given as drawn
from hypothesis import strategies as st

from materials.science.errors import LargeDeflection
from materials.science.plates import Edge
from materials.science.spans import least_wall_for_head_mm, least_wall_for_weight_mm

few = settings(max_examples=25, deadline=None)


def for_weight(edge: Edge, span_mm: float, modulus_mpa: float) -> float:
    """Return the least wall over a square gap under its own weight, or skip what the law of thin plates does not cover."""
    try:
        return least_wall_for_weight_mm(
            edge, short_mm=span_mm, long_mm=span_mm, modulus_mpa=modulus_mpa, density_kg_m3=1100, sag_mm=0.5
        )
    except LargeDeflection:
        assume(False)
        raise


def for_head(edge: Edge, span_mm: float, modulus_mpa: float) -> float:
    """Return the least wall over a square gap under resin, or skip what the law of thin plates does not cover."""
    try:
        return least_wall_for_head_mm(
            edge, short_mm=span_mm, long_mm=span_mm, modulus_mpa=modulus_mpa, pressure_pa=400, sag_mm=0.5
        )
    except LargeDeflection:
        assume(False)
        raise


class TestLeastWall:
    @few
    @drawn(st.sampled_from(Edge), st.floats(40, 90), st.floats(0.5, 4), st.floats(1.05, 2))
    def test_rises_with_the_square_of_the_span_under_weight(self, edge: Edge, span: float, modulus: float, by: float) -> None:
        small = for_weight(edge, span, modulus)
        assert for_weight(edge, by * span, modulus) == pytest.approx(small * by**2, rel=1e-9)

    @few
    @drawn(st.sampled_from(Edge), st.floats(40, 90), st.floats(0.5, 4), st.floats(1.05, 2))
    def test_rises_with_the_span_to_four_thirds_under_resin(self, edge: Edge, span: float, modulus: float, by: float) -> None:
        small = for_head(edge, span, modulus)
        assert for_head(edge, by * span, modulus) == pytest.approx(small * by ** (4 / 3), rel=1e-9)

    @few
    @drawn(st.sampled_from(Edge), st.floats(50, 120), st.floats(0.5, 3), st.floats(1.05, 4))
    def test_falls_as_the_rubber_gets_stiffer(self, edge: Edge, span: float, modulus: float, stiffer: float) -> None:
        assert for_weight(edge, span, stiffer * modulus) == pytest.approx(for_weight(edge, span, modulus) / stiffer**0.5)
        assert for_head(edge, span, stiffer * modulus) == pytest.approx(for_head(edge, span, modulus) / stiffer ** (1 / 3))
